"""Where the settings are."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.settings import tokens, views

urlpatterns = [
    path("", views.settings, name="settings"),
    path("token/", tokens.make, name="token-make"),
    path("token/<int:token_id>/", tokens.revoke, name="token-revoke"),
]
