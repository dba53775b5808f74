"""Where the pages of what is at home are."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.at_home import views

urlpatterns = [
    path("", views.at_home, name="at-home"),
    path("export/", views.export, name="at-home-export"),
    path("move/", views.move, name="at-home-move"),
]
