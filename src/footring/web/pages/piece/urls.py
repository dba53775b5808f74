"""Where the pages of a piece are."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.piece import changes, photographs, views

urlpatterns = [
    path("photograph/<str:photograph_id>/original/", photographs.original, name="photograph-original"),
    path("photograph/<str:photograph_id>/<str:size>/", photographs.show, name="photograph"),
    path("<str:piece_id>/photograph/", photographs.add, name="piece-photograph"),
    path("<str:piece_id>/", views.piece, name="piece"),
    path("<str:piece_id>/history/", views.history, name="piece-history"),
    path("<str:piece_id>/name/", changes.rename, name="piece-name"),
    path("<str:piece_id>/reading/", changes.read, name="piece-reading"),
    path("<str:piece_id>/condition/", changes.condition, name="piece-condition"),
    path("<str:piece_id>/attribution/", changes.attribute, name="piece-attribution"),
    path("<str:piece_id>/place/", changes.place, name="piece-place"),
    path("<str:piece_id>/price/", changes.price, name="piece-price"),
    path("<str:piece_id>/undo/<int:act_id>/", changes.take_back, name="piece-undo"),
]
