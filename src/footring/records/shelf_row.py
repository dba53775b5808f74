"""What one piece's row on the shelf holds, from everything that is stored of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from footring.records.models import MODELS, Stored
from footring.records.models.shelf import SAID, YEAR_UNKNOWN
from footring.records.shelf_words import LONGEST, Called, folded, in_order, read_off, texts
from footring.terms.dates import parse_edtf

CELL = ("form", "size", "body", "glaze", "decoration", "trim", "customer")
"""What a statement of production may name besides its line."""


class Making:
    """The rows of some pieces, with all that they rest on looked up at once.

    Of a piece that is not private, what is private counts for nothing but its owner's words.
    """

    def __init__(self, pieces: Sequence[Stored], called: Called) -> None:
        self._pieces, self._called = pieces, called
        self._ids = [piece.pk for piece in pieces]
        self._private = {piece.pk for piece in pieces if piece.private}
        self._said = self._leading()
        called.look_up(self._said.values(), (piece.place_id for piece in pieces))
        self._made = Made({line for said in self._said.values() if (line := said.get("line"))})

    def rows(self) -> Iterator[dict[str, Any]]:
        """One row a piece: what stands in each column of `Shelved`."""
        readings = read_off(self._ids)
        met, who = self._first_met(), dict(self._of("pieces").values_list("pk", "added_in__by"))
        pictured, damaged = self._have("photographs"), self._have("conditions", kind="damage")
        for piece in self._pieces:
            said, key = self._said.get(piece.pk, {}), piece.pk
            own = [(piece.name, False), *((one.value, one.private) for one in readings[key])]
            text, own_text = texts(own, self._called.words(said), self._called.place(piece.place_id), piece.private)
            made_from, made_to = self._made.years(said)
            yield {
                "piece_id": key, "added_by_id": who[key], "private": piece.private, "place": piece.place_id,
                "settled": said.get("basis") == "confirmed", "pictured": key in pictured, "damaged": key in damaged,
                "number": _number(readings[key]), "made_from": made_from, "made_to": made_to, "met": met.get(key, ""),
                "by_name": in_order(piece.name or ""), "by_what": self._called.by_what(said, piece.private),
                "text": text, "own_text": own_text,
                **{name: said.get(name) for name in SAID},
            }  # fmt: skip

    def _of(self, table: str) -> Any:
        key = "pk__in" if table == "pieces" else "piece__in"
        return MODELS[table].objects.current().filter(**{key: self._ids})  # type: ignore[attr-defined]

    def _leading(self) -> dict[str, dict[str, Any]]:
        """What each piece is said to be: by a person, last; else by the likeliest proposal."""
        rows = (
            self._of("attributions").filter(part=None, weight__gt=0.0).order_by("basis", "weight", "added_in_id", "pk")
        )
        ids = {f"{name}_id": name for name in SAID}
        said: dict[str, dict[str, Any]] = {}
        for row in rows.values("piece_id", "private", "basis", *ids):
            if row["private"] and row["piece_id"] not in self._private:
                continue
            if row["basis"] == "proposed" and said.get(row["piece_id"], row)["basis"] == "confirmed":
                continue
            said[row["piece_id"]] = {ids.get(name, name): value for name, value in row.items()}
        return said

    def _have(self, table: str, **of: str) -> set[str]:
        rows = self._of(table).filter(**of).values_list("piece", "private")
        return {piece for piece, private in rows if not private or piece in self._private}

    def _first_met(self) -> dict[str, str]:
        """The first day that each piece was met on, of the dates that say one."""
        days: dict[str, list[str]] = defaultdict(list)
        for piece, met in self._of("encounters").exclude(met=None).values_list("piece", "met").distinct():
            if (day := parse_edtf(met).first_day) is not None:
                days[piece].append(day.isoformat())
        return {piece: min(some) for piece, some in days.items()}


class Made:
    """When the factory made what is said to be something, from the reference's statements of some lines."""

    def __init__(self, lines: Iterable[str]) -> None:
        self._rows: dict[str, list[dict[str, Any]]] = defaultdict(list)
        self._known: dict[tuple[str | None, ...], tuple[int, int]] = {}
        ids = {f"{name}_id": name for name in ("line", *CELL)}
        rows = MODELS["productions"].objects.current().filter(line__in=list(lines), private=False)  # type: ignore[attr-defined]
        for row in rows.exclude(made=None).values("made", *ids):
            self._rows[row["line_id"]].append({ids.get(name, name): value for name, value in row.items()})

    def years(self, said: dict[str, Any]) -> tuple[int, int]:
        """First and last year of the statements that name most of it; 0 and `YEAR_UNKNOWN` where they leave it open."""
        key = (said.get("line"), *(said.get(name) for name in CELL))
        if key not in self._known:
            self._known[key] = _span(_closest(self._rows[key[0] or ""], said))
        return self._known[key]


def _closest(rows: Iterable[dict[str, Any]], said: dict[str, Any]) -> list[str]:
    """When it was made, by the statements that agree with it in most of what they name and contradict it in nothing."""
    agreeing = defaultdict(list)
    for row in rows:
        both = [(row[name], said.get(name)) for name in CELL if row[name] and said.get(name)]
        if all(one == other for one, other in both):
            agreeing[len(both)].append(row["made"])
    return agreeing[max(agreeing)] if agreeing else []


def _span(made: Iterable[str]) -> tuple[int, int]:
    dates = [parse_edtf(text) for text in made]
    if not dates:
        return YEAR_UNKNOWN, 0
    return min(one.year_min or 0 for one in dates), max(one.year_max or YEAR_UNKNOWN for one in dates)


def _number(readings: Iterable[Any]) -> str:
    """The decoration number that was read first, of the whole piece before its parts."""
    read = sorted(
        (one for one in readings if one.name == "number" and not one.private), key=lambda one: one.part_id or ""
    )
    return folded(read[0].value)[:LONGEST] if read else ""
