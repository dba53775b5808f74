"""Where a keeper looks after the people."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.people import views

urlpatterns = [
    path("", views.people, name="people"),
    path("invite/", views.invite_somebody, name="people-invite"),
    path("<int:user_id>/", views.change, name="people-change"),
    path("<int:user_id>/new-way-in/", views.new_way_in, name="people-new-way-in"),
    path("invitation/<int:invitation_id>/", views.take_back, name="people-take-back"),
]
