"""The words that a piece on the shelf is found and sorted by: its own, and those of what it is said to be."""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from footring.records.models import MODELS, Shelved, Stored
from footring.records.models.shelf import LAST, SAID
from footring.rows import TABLES

_TABLE_OF = {name: str(TABLES["attributions"].column(name).refers_to) for name in SAID}
LONGEST = 200
"""Letters that are sorted and looked up by; an index holds no more."""
_WORD = re.compile(r"[^\W\d_]{3,60}")
Told = tuple[str, bool]
"""Some words, and whether they are private."""


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


class Called:
    """What things and places are called; each is looked up once."""

    def __init__(self) -> None:
        self._things: dict[tuple[str, str], tuple[str, list[Told]]] = {}
        self._places: dict[str, Stored] = {}

    def look_up(self, said: Iterable[Mapping[str, Any]], places: Iterable[str | None]) -> None:
        """Make ready what some pieces are said to be, and where they are."""
        said, ids = list(said), defaultdict(set)
        for name, table in _TABLE_OF.items():
            ids[table] |= {key for one in said if (key := one.get(name)) and (table, key) not in self._things}
        self._add([thing for table, some in ids.items() for thing in in_bulk(table, some).values()])
        while new := in_bulk("places", {key for key in places if key not in self._places}):
            self._places |= new
            places = [place.within_id for place in new.values()]

    def _add(self, things: Sequence[Stored]) -> None:
        makers = in_bulk("makers", (thing.maker_id for thing in things if thing.SPEC.name == "lines"))
        aliases = defaultdict(list)
        for one in MODELS["names"].objects.filter(thing__in=[thing.pk for thing in things]).order_by("pk"):
            aliases[one.thing_table, one.thing].append(one)
        for thing in things:
            key = thing.SPEC.name, thing.pk
            also = ((one.name, thing.private or one.private) for one in aliases[key])
            self._things[key] = str(thing), [*_own_words(thing, makers), *also]

    def words(self, said: Mapping[str, Any]) -> Iterator[Told]:
        """All that what a piece is said to be is called."""
        for _, words in self._of(said):
            yield from words

    def by_what(self, said: Mapping[str, Any], private: bool) -> str:
        """What a piece is sorted by as what it is said to be; one that is not private by nothing that is."""
        told = ((name, words[0][1]) for name, words in self._of(said))
        return in_order(", ".join(name for name, hidden in told if private or not hidden))

    def _of(self, said: Mapping[str, Any]) -> list[tuple[str, list[Told]]]:
        keys = ((table, said.get(name)) for name, table in _TABLE_OF.items())
        return [thing for key in keys if (thing := self._things.get(key))]

    def place(self, place: str | None) -> list[str]:
        """What a place is called, and what it stands inside."""
        seen: dict[str, str] = {}
        while place is not None and place not in seen:
            seen[place] = self._places[place].name
            place = self._places[place].within_id
        return list(seen.values())


def _own_words(thing: Stored, makers: Mapping[str, Stored]) -> Iterator[Told]:
    yield str(thing), thing.private
    if thing.SPEC.name == "marks" and thing.device:
        yield thing.device, thing.private
    if thing.SPEC.name == "lines" and (maker := makers.get(thing.maker_id)):
        yield maker.name, thing.private or maker.private


def in_bulk(table: str, ids: Iterable[str | None]) -> dict[str, Stored]:
    """Rows by their ids."""
    wanted = {key for key in ids if key}
    return MODELS[table].objects.in_bulk(wanted) if wanted else {}


def read_off(pieces: Sequence[str]) -> dict[str, list[Any]]:
    """Piece, part, name, value and whether it is private, of what was seen of each; the first read first."""
    found: dict[str, list[Any]] = defaultdict(list)
    seen = MODELS["readings"].objects.current().filter(piece__in=pieces, absent=False)  # type: ignore[attr-defined]
    rows = seen.exclude(value=None).order_by("added_in_id", "pk")
    for one in rows.values_list("piece_id", "part_id", "name", "value", "private", named=True):
        found[one.piece_id].append(one)
    return found


def texts(own: Iterable[Told], of_things: Iterable[Told], place: Iterable[str], private: bool) -> tuple[str, str]:
    """What everybody who sees a piece may find it by, and what only its owner's side may.

    Parameters
    ----------
    own, of_things : iterable of Told
        Words of the piece, and of what it is said to be.
    private : bool
        Whether the piece is; then all its words are for all who see it.
    """
    told = [*own, *of_things]
    everybody = [words for words, hidden in told if private or not hidden]
    owners = [words for words, hidden in told if hidden and not private]
    return _joined(everybody), _joined([*owners, *place])


def _joined(words: Iterable[str]) -> str:
    """Words as they are looked up: each once, a space before and after."""
    return f" {' '.join(dict.fromkeys(filter(None, map(folded, filter(None, words)))))} "


def worded(pieces: Sequence[str], called: Called) -> Iterator[dict[str, Any]]:
    """The columns of pieces on the shelf that hold words of other things, made anew from what these are called now."""
    rows = list(Shelved.objects.filter(piece__in=pieces).values("piece_id", "piece__name", "private", "place", *SAID))
    called.look_up(rows, (row["place"] for row in rows))
    readings = read_off(pieces)
    for row in rows:
        own = [(row["piece__name"], False), *((one.value, one.private) for one in readings[row["piece_id"]])]
        text, own_text = texts(own, called.words(row), called.place(row["place"]), row["private"])
        yield {
            "by_what": called.by_what(row, row["private"]),
            "text": text,
            "own_text": own_text,
            "piece_id": row["piece_id"],
        }
