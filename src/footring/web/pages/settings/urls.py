"""Where the settings are."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.settings import views

urlpatterns = [path("", views.settings, name="settings")]
