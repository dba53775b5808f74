"""Where files are brought in."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.bring_in import views

urlpatterns = [
    path("", views.bring_in, name="bring-in"),
    path("<int:job_id>/", views.job, name="bring-in-job"),
    path("<int:job_id>/look/", views.look, name="bring-in-look"),
    path("<int:job_id>/progress/", views.progress, name="bring-in-progress"),
    path("<int:job_id>/start/", views.start, name="bring-in-start"),
    path("<int:job_id>/stop/", views.stop, name="bring-in-stop"),
    path("<int:job_id>/back/", views.back, name="bring-in-back"),
    path("<int:job_id>/forget/", views.forget, name="bring-in-forget"),
]
