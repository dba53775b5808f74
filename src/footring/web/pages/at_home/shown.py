"""Pieces as a page shows them: what each is called and said to be, where it is, and its outline to scale."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from types import SimpleNamespace

from footring.reasoning.reading_words import reading_rows
from footring.records.models import MODELS, Shelved, Stored, User
from footring.records.models.shelf import YEAR_UNKNOWN
from footring.records.privacy import may_change, visible
from footring.web.glaze_colour import colour_of
from footring.web.pages.reference.drawn import Outline, outline

SCALE = 0.42
"""Pixels to the millimetre on the shelf."""
SAID = {"line": "lines", "form": "forms", "decoration": "decorations", "glaze": "glazes", "trim": "trims"}
"""What a list says of a piece, in this order."""
READ = ("form", "decoration", "glaze", "number", "mark", "line")
"""What a list says was read off a piece of which nothing is said, in this order."""
_USUAL = (
    (("saucer", "plate", "platter", "tray", "stand"), (230.0, 26.0)),
    (("cup", "mug", "beaker"), (85.0, 75.0)),
    (("jug", "pitcher", "creamer", "pot", "jar", "vase"), (115.0, 140.0)),
    (("",), (150.0, 75.0)),
)
"""Words of a kind, and how wide and high its dashed outline stands in for one that nobody measured."""


@dataclass(frozen=True)
class Shown:
    """One piece of a page; `where` is empty where the reader may not see it."""

    row: Shelved
    piece: Stored
    own: bool
    what: str
    where: str
    drawn: Outline
    measured: bool
    colour: str | None
    read: str

    @property
    def called(self) -> str:
        """Its name; without one, what it is said to be; where nothing is, what was read off it."""
        return self.piece.name or self.what or self.read or "A piece without a name"

    @property
    def years(self) -> tuple[int, int] | None:
        """First and last year that it may have been made in, where the reference bounds both."""
        known = 0 < self.row.made_from and self.row.made_from <= self.row.made_to < YEAR_UNKNOWN
        return (self.row.made_from, self.row.made_to) if known else None


def shown(rows: Sequence[Shelved], user: User) -> list[Shown]:
    """The pieces of a page, with all that it shows of them looked up at once."""
    pieces = MODELS["pieces"].objects.select_related("place", "added_in").in_bulk([row.piece_id for row in rows])
    things = {name: things_of(name, rows) for name in SAID}
    sizes = _sizes(rows)
    bare = [row.piece_id for row in rows if not (pieces[row.piece_id].name or any(getattr(row, one) for one in SAID))]
    read = _read(bare, user)
    return [_one(row, pieces[row.piece_id], things, sizes[row.form], user, read.get(row.piece_id, "")) for row in rows]


def _read(pieces: Sequence[str], user: User) -> dict[str, str]:
    """What was read off some pieces as a whole, as far as a person may see it."""
    found: dict[str, dict[str, str]] = defaultdict(dict)
    rows = visible("readings", user).current().filter(piece__in=pieces, part=None, name__in=READ, absent=False)
    seen = rows.exclude(value=None).order_by("-added_in_id", "-pk") if pieces else ()
    for one in seen:
        found[one.piece_id][one.name] = one.value if one.name == "form" else _told(one)
    return {key: _sentence(told[name] for name in READ if name in told) for key, told in found.items()}


def _told(reading: Stored) -> str:
    return reading_rows()[reading.name]["told"].format(reading.value)


def _sentence(told: Iterable[str]) -> str:
    words = ", ".join(told)
    return f"{words[:1].upper()}{words[1:]}, as read"


def things_of(name: str, rows: Iterable[Shelved]) -> dict[str, Stored]:
    """What some pieces are said to be in one respect, by its id."""
    table = {**SAID, "size": "sizes", "body": "bodies", "customer": "customers"}.get(name, "marks")
    return MODELS[table].objects.in_bulk({key for row in rows if (key := getattr(row, name))})


def _sizes(rows: Iterable[Shelved]) -> dict[str | None, list[Stored]]:
    sizes: dict[str | None, list[Stored]] = defaultdict(list)
    forms = {row.form for row in rows if row.form}
    for size in MODELS["sizes"].objects.filter(form__in=forms, across_mm__gt=0, high_mm__gt=0).order_by("-across_mm"):
        sizes[size.form_id].append(size)
    return sizes


def _one(
    row: Shelved, piece: Stored, things: dict[str, dict[str, Stored]], sizes: Sequence[Stored], user: User, read: str
) -> Shown:
    own = may_change(user, piece)
    said = {
        name: thing for name in SAID if (thing := things[name].get(getattr(row, name))) and (own or not thing.private)
    }
    fitting = [size for size in sizes if row.size in (None, size.pk)]
    return Shown(
        row, piece, own, ", ".join(map(str, said.values())), str(piece.place) if own and piece.place else "",
        _drawn(piece, said.get("form"), fitting), len(fitting) == 1, colour_of(said.get("glaze")), read,
    )  # fmt: skip


def _drawn(piece: Stored, form: Stored | None, sizes: Sequence[Stored]) -> Outline:
    """To scale as its size was measured; else about as large as such things are."""
    kind = form or SimpleNamespace(name=piece.name or "", kind=None)
    words = f"{kind.kind or ''} {kind.name}".casefold()
    across, high = next(usual for kinds, usual in _USUAL if any(one in words for one in kinds))
    return outline(kind, sizes[0] if sizes else SimpleNamespace(across_mm=across, high_mm=high), SCALE)
