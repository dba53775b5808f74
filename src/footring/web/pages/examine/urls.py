"""Where the pages of Examine are."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.examine import views

urlpatterns = [
    path("", views.examine, name="examine"),
    path("why/", views.reasons, name="examine-why"),
    path("put-away/", views.put_away, name="put-away"),
    path("again/<str:piece>/", views.examine_again, name="examine-again"),
    path("not-this/<str:piece>/", views.not_this, name="not-this"),
]
