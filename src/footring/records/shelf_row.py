"""What one piece's row on the shelf holds, from everything that is stored of it."""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import Any

from footring.records.models import MODELS, Stored
from footring.records.models.shelf import LAST, SAID, YEAR_UNKNOWN
from footring.rows import TABLES
from footring.terms.dates import parse_edtf

CELL = ("form", "size", "body", "glaze", "decoration", "trim", "customer")
"""What a statement of production may name besides its line."""
_TABLE_OF = {name: str(TABLES["attributions"].column(name).refers_to) for name in SAID}
LONGEST = 200
"""Letters that are sorted and looked up by; an index holds no more."""
_WORD = re.compile(r"[^\W\d_]{3,60}")


@lru_cache(4096)
def folded(text: str) -> str:
    """Words as they are compared: without capitals, accents, and more than one space between."""
    plain = (c for c in unicodedata.normalize("NFKD", text.replace("\0", "")) if not unicodedata.combining(c))
    return " ".join("".join(plain).casefold().split())


def words_of(text: str) -> set[str]:
    """The words of letters alone in a folded text: what has a figure in it is never mended."""
    return set(_WORD.findall(text))


def in_order(text: str) -> str:
    """What a text is sorted by: its figures by their value, nothing last."""
    return re.sub(r"\d{1,9}", lambda digits: digits[0].zfill(9), folded(text))[:LONGEST] or LAST


class Making:
    """The rows of some pieces, with all that they rest on looked up at once.

    Of a piece that is not private, what is private counts for nothing but its owner's words.
    """

    def __init__(self, pieces: Sequence[Stored]) -> None:
        self._pieces = pieces
        self._ids = [piece.pk for piece in pieces]
        self._private = {piece.pk for piece in pieces if piece.private}
        self._said = self._leading()
        self._things = {name: self._named(name) for name in SAID}
        self._aliases = self._also_called()
        self._makers = _in_bulk("makers", (line.maker_id for line in self._things["line"].values()))
        self._made = Made(self._things["line"])

    def rows(self) -> Iterator[dict[str, Any]]:
        """One row a piece: what stands in each column of `Shelved`."""
        readings, places = self._readings(), _Places(piece.place_id for piece in self._pieces)
        met, who = self._first_met(), dict(self._of("pieces").values_list("pk", "added_in__by"))
        pictured, damaged = self._have("photographs"), self._have("conditions", kind="damage")
        for piece in self._pieces:
            said, key = self._said.get(piece.pk, {}), piece.pk
            things = [thing for name in SAID if (thing := self._things[name].get(said.get(name)))]
            words, own = self._words(piece, things, readings[key])
            made_from, made_to = self._made.years(said)
            yield {
                "piece_id": key, "added_by_id": who[key], "private": piece.private, "place": piece.place_id,
                "settled": said.get("basis") == "confirmed", "pictured": key in pictured, "damaged": key in damaged,
                "number": _number(readings[key]), "made_from": made_from, "made_to": made_to, "met": met.get(key, ""),
                "by_name": in_order(piece.name or ""), "by_what": in_order(", ".join(map(str, things))),
                "text": _joined(words), "own_text": _joined([*own, *places.names(piece.place_id)]),
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

    def _named(self, name: str) -> dict[str, Stored]:
        return _in_bulk(_TABLE_OF[name], (said[name] for said in self._said.values()))

    def _also_called(self) -> dict[tuple[str, str], list[tuple[str, bool]]]:
        found = defaultdict(list)
        ids = {key for things in self._things.values() for key in things}
        names = MODELS["names"].objects.filter(thing__in=ids).order_by("pk") if ids else ()
        for one in names:
            found[one.thing_table, one.thing].append((one.name, one.private))
        return found

    def _readings(self) -> dict[str, list[Any]]:
        """Piece, part, name, value and whether it is private, of what was seen; the first read first."""
        found: dict[str, list[Any]] = defaultdict(list)
        seen = self._of("readings").filter(absent=False).exclude(value=None).order_by("added_in_id", "pk")
        for one in seen.values_list("piece_id", "part_id", "name", "value", "private", named=True):
            found[one.piece_id].append(one)
        return found

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

    def _words(self, piece: Stored, things: Iterable[Stored], readings: Iterable[Any]) -> tuple[list[str], list[str]]:
        """What everybody who sees the piece may find it by, and what only its owner's side may."""
        told = [(piece.name, False), *((one.value, one.private) for one in readings)]
        for thing in things:
            told += self._called(thing)
        mine = piece.pk in self._private
        return [w for w, private in told if w and (mine or not private)], [w for w, p in told if w and p and not mine]

    def _called(self, thing: Stored) -> Iterator[tuple[str, bool]]:
        table, private = thing.SPEC.name, thing.private
        yield str(thing), private
        if table == "marks" and thing.device:
            yield thing.device, private
        if table == "lines" and (maker := self._makers.get(thing.maker_id)):
            yield maker.name, private or maker.private
        yield from ((name, private or hidden) for name, hidden in self._aliases.get((table, thing.pk), ()))


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


class _Places:
    """Places with all that they stand inside."""

    def __init__(self, ids: Iterable[str | None]) -> None:
        self._known: dict[str, Stored] = {}
        while new := _in_bulk("places", ids):
            self._known |= new
            ids = {place.within_id for place in new.values()} - set(self._known)

    def names(self, place: str | None) -> list[str]:
        """What it is called, and what it stands inside."""
        seen: dict[str, str] = {}
        while place is not None and place not in seen:
            seen[place] = self._known[place].name
            place = self._known[place].within_id
        return list(seen.values())


def _in_bulk(table: str, ids: Iterable[str | None]) -> dict[str, Stored]:
    wanted = {key for key in ids if key}
    return MODELS[table].objects.in_bulk(wanted) if wanted else {}


def _number(readings: Iterable[Any]) -> str:
    """The decoration number that was read first, of the whole piece before its parts."""
    read = sorted(
        (one for one in readings if one.name == "number" and not one.private), key=lambda one: one.part_id or ""
    )
    return folded(read[0].value)[:LONGEST] if read else ""


def _joined(words: Iterable[str]) -> str:
    """Words as they are looked up: each once, a space before and after."""
    return f" {' '.join(dict.fromkeys(filter(None, map(folded, words))))} "
