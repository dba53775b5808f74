"""Where the pages of Examine are."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.examine import views

urlpatterns = [path("", views.examine, name="examine")]
