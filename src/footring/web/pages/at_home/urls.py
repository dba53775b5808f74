"""Where the pages of what is at home are."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.at_home import changes, views

urlpatterns = [
    path("", views.at_home, name="at-home"),
    path("ask/", views.ask, name="at-home-ask"),
    path("change/", changes.change, name="at-home-change"),
    path("export/", views.export, name="at-home-export"),
    path("export/workbook/", views.workbook, name="at-home-workbook"),
    path("undo/<int:act_id>/", changes.take_back, name="at-home-undo"),
    path("view/", changes.keep_view, name="at-home-keep-view"),
    path("view/<int:view_id>/forget/", changes.forget_view, name="at-home-forget-view"),
]
