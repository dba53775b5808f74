"""Where the pages of a piece are."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.piece import changes, history, mending, photographs, reading, saying, views

urlpatterns = [
    path("photograph/<str:photograph_id>/original/", photographs.original, name="photograph-original"),
    path("photograph/<str:photograph_id>/change/", photographs.change, name="photograph-change"),
    path("photograph/<str:photograph_id>/move/", photographs.move, name="photograph-move"),
    path("photograph/<str:photograph_id>/take-away/", photographs.take_away, name="photograph-take-away"),
    path("photograph/<str:photograph_id>/<str:size>/", photographs.show, name="photograph"),
    path("<str:piece_id>/", views.piece, name="piece"),
    path("<str:piece_id>/history/", history.history, name="piece-history"),
    path("<str:piece_id>/undo/<int:act_id>/", history.take_back, name="piece-undo"),
    path("<str:piece_id>/photograph/", photographs.add, name="piece-photograph"),
    path("<str:piece_id>/name/", changes.rename, name="piece-name"),
    path("<str:piece_id>/place/", changes.place, name="piece-place"),
    path("<str:piece_id>/private/", changes.private, name="piece-private"),
    path("<str:piece_id>/part/", changes.part, name="piece-part"),
    path("<str:piece_id>/condition/", changes.condition, name="piece-condition"),
    path("<str:piece_id>/note/", changes.note, name="piece-note"),
    path("<str:piece_id>/take-away/", mending.take_away, name="piece-take-away"),
    path("<str:piece_id>/price/", changes.price, name="piece-price"),
    path("<str:piece_id>/came/", changes.came, name="piece-came"),
    path("<str:piece_id>/line/", reading.take, name="piece-line"),
    path("<str:piece_id>/reading/", reading.read, name="piece-reading"),
    path("<str:piece_id>/correct/", reading.correct, name="piece-correct"),
    path("<str:piece_id>/this/", saying.this, name="piece-this"),
    path("<str:piece_id>/not-this/", saying.not_this, name="piece-not-this"),
    path("<str:piece_id>/keep/", saying.keep, name="piece-keep"),
]
