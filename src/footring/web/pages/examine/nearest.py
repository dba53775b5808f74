"""The nearest pieces met, and those at home among them."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Case, Count, IntegerField, Q, Value, When
from django.urls import NoReverseMatch, reverse

from footring.reasoning.finding import Finding
from footring.reasoning.label_text import LIKELIER
from footring.records.models import Role, Stored, User
from footring.records.privacy import open_to, sees_the_owner_s_side, visible

SHOWN = 5


@dataclass(frozen=True)
class Near:
    """A piece much like it."""

    name: str
    url: str
    alike: str
    place: str


@dataclass(frozen=True)
class Nearest:
    """The nearest few, how many were met in all, and how many of those are at home."""

    pieces: tuple[Near, ...]
    met: int
    home: int


def nearest(finding: Finding, user: User) -> Nearest | None:
    """Pieces that a person settled as of the same line and form, those of its treatment first; None without a form."""
    best = {name: shares[0][2] for name, shares in finding.marginals.items() if shares and shares[0][1] >= LIKELIER}
    if finding.outside > LIKELIER or not best.get("line") or not best.get("form"):
        return None
    settled = visible("attributions", user).current().filter(
        basis="confirmed", part=None, line_id=best["line"], form_id=best["form"]
    )  # fmt: skip
    all_of_it = user.may(Role.CURATOR)
    if not all_of_it:
        settled = settled.filter(piece__in=visible("pieces", user))
    home = Q(piece__place__isnull=False) & (Q() if all_of_it else Q(piece__added_in__by=user))
    counted = settled.aggregate(met=Count("pk"), home=Count("pk", filter=home))
    chosen = list(settled.order_by(_alike(best), "pk").values_list("pk", flat=True)[:SHOWN])
    joined = settled.model.objects.select_related("piece__place", "piece__added_in", "decoration", "glaze", "trim")
    rows = joined.in_bulk(chosen)
    return Nearest(tuple(_near(rows[pk], best, user) for pk in chosen), counted["met"], counted["home"])


def _alike(best: dict[str, str | None]) -> Case:
    """0 for the same decoration and glaze, more for less alike."""
    both = Q(decoration_id=best.get("decoration"), glaze_id=best.get("glaze"))
    return Case(
        When(both, then=Value(0)), When(decoration_id=best.get("decoration"), then=Value(1)),
        default=Value(2), output_field=IntegerField(),
    )  # fmt: skip


def _near(row: Stored, best: dict[str, str | None], user: User) -> Near:
    own = sees_the_owner_s_side(user, row.piece)
    parts = [str(part) for part in (row.decoration, row.glaze, row.trim) if open_to(own, part)]
    same = row.decoration_id and row.decoration_id == best.get("decoration")
    alike = ("the same decoration: " if same else "") + ", ".join(parts)
    place = str(row.piece.place or "") if own else ""
    return Near(row.piece.name or "a piece without a name", piece_page(row.piece_id), alike, place)


def piece_page(piece: str) -> str:
    """Where the page of a piece is; empty where there is none."""
    try:
        return reverse("piece", args=[piece])
    except NoReverseMatch:
        return ""
