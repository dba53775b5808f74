"""Where help is."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.help import views

urlpatterns = [
    path("", views.first, name="help"),
    path("words/", views.words, name="help-words"),
    path("how-to-look/", views.look, name="help-look"),
]
