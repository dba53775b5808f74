"""Where the pages of the reference are. Ids may hold anything, so they stand last."""

from __future__ import annotations

from django.urls import path

from footring.web.pages.reference import changing, concordance, forms, index, lines, opened

urlpatterns = [
    path("", index.index, name="reference"),
    path("concordance/", concordance.concordance, name="concordance"),
    path("marks/", index.marks, name="reference-marks"),
    path("customers-and-hands/", index.people, name="reference-people"),
    path("names/", index.names, name="reference-names"),
    path("offer/<str:table>/", index.offer, name="reference-offer"),
    path("met/<path:key>", lines.met, name="reference-met"),
    path("said/<str:table>/<path:key>", opened.said, name="reference-said"),
    path("add/<str:table>/", changing.add, name="reference-add"),
    path("change/<str:table>/<path:key>", changing.change, name="reference-change"),
    path("undo/<int:act_id>/", changing.take_back, name="reference-undo"),
    path("makers/<path:key>", lines.maker, name="reference-maker"),
    path("lines/<path:key>", lines.line, name="reference-line"),
    path("forms/<path:key>", forms.form, name="reference-form"),
    path("things/<str:table>/<path:key>", forms.thing, name="reference-thing"),
]
