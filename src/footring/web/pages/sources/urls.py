"""Where the pages of the sources are. Ids may hold anything, so they stand last."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.sources import claiming, views, weighing

urlpatterns = [
    path("", views.sources, name="sources"),
    path("what-disagrees/", weighing.disagree, name="sources-disagree"),
    path("check-later/", weighing.later, name="sources-later"),
    path("check-later/<int:number>/", weighing.checked, name="sources-checked"),
    path("claim/<str:table>/<path:key>", claiming.claim, name="sources-claim"),
    path("decide/<str:table>/<path:key>", weighing.decide, name="sources-decide"),
    path("one/<path:key>", views.source, name="source"),
]
