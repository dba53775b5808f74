"""What one calls a row, and which row somebody means by what they type."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import Q

from footring.records.models import Role, Stored, User
from footring.records.models.stored import StoredRows
from footring.records.privacy import visible
from footring.reference.faults import Nearest
from footring.rows import TABLES
from footring.terms.errors import BadInput

MOST_OFFERED = 12
LONGEST = 1000
"""Letters of what is typed that are looked for; SQLite gives up at 50,000."""
WORD = {
    "makers": "maker", "lines": "line", "moulds": "mould", "forms": "form", "sizes": "size", "bodies": "body",
    "glazes": "glaze", "decorations": "decoration", "trims": "trim", "customers": "customer", "hands": "hand",
    "marks": "mark", "labels": "label", "names": "name", "numbers": "number", "productions": "production",
    "mark_uses": "use of a mark", "telltales": "telltale", "goes_with": "what goes together", "sources": "source",
    "placements": "place of a decoration", "date_code_schemes": "date code", "lineages": "what a source draws on",
}  # fmt: skip
"""What one row of each table of the reference is called."""
THINGS = (
    "lines", "forms", "decorations", "glazes", "makers", "marks", "numbers", "customers", "hands", "trims", "bodies",
    "labels", "moulds",
)  # fmt: skip
"""What one makes claims of by its name, the commonest first."""
PARTS = ("body", "glaze", "decoration", "trim")
RELATED = {
    "numbers": ("line", "source", *PARTS),
    "forms": ("line",),
    "sizes": ("form__line",),
    "productions": ("line", "form__line", "size__form__line", "customer", "source", *PARTS),
    "mark_uses": ("mark", "line", "form__line", "source"),
    "telltales": ("form__line", "other_form__line", "source"),
    "goes_with": ("form__line", "with_form__line", "source", *PARTS, *(f"with_{part}" for part in PARTS)),
    "claims": ("source",),
    "names": ("source",),
    "lines": ("maker",),
    "placements": ("decoration", "form__line"),
    "lineages": ("source", "drawn_from"),
}
"""What is looked up together with a row so that it can be called something."""
_NAMED = {
    "numbers": ("code",),
    "sizes": ("trade_size",),
    "marks": ("lettering", "device"),
    "labels": ("name", "lettering"),
}


def rows(table: str, user: User) -> StoredRows:
    """Current rows that a person may see, with what they are called by; none that names a private thing."""
    return seen(table, user).current()  # type: ignore[attr-defined]


def seen(table: str, user: User) -> StoredRows:
    """The same, with what later ones supersede."""
    found = visible(table, user).select_related(*RELATED.get(table, ()))
    return found if user.may(Role.CURATOR) else found.filter(_names_nothing_private(table))


def _names_nothing_private(table: str) -> Q:
    asked = Q()
    for column in TABLES[table].columns:
        if column.refers_to and column.name not in ("source", "supersedes"):
            asked &= Q(**{column.name: None}) | Q(**{f"{column.name}__private": False})
    return asked


def called(row: Stored) -> str:
    """What one calls a row; forms and numbers with their line, which alone tells them apart."""
    table = row.SPEC.name
    if table == "numbers":
        return f"{row.code} on {row.line.name}"
    if table == "sizes":
        return f"{row.trade_size or measured(row)} {row.form.name}".strip()
    if table == "marks":
        return str(row.lettering or row.device or row.pk)
    if name := getattr(row, "name", None):
        return f"{name} ({row.line.name})" if table == "forms" else str(name)
    return ", ".join(_called_parts(row)) or str(row.pk)


def _called_parts(row: Stored) -> list[str]:
    skipped = ("source", "supersedes")
    columns = [c.name for c in row.SPEC.columns if c.refers_to and c.name not in skipped]
    return [called(part) for name in columns if (part := getattr(row, name)) is not None]


def measured(size: Stored) -> str:
    """What a size measures, for one without a trade name."""
    found = ((size.across_mm, "mm across"), (size.high_mm, "mm high"), (size.capacity_ml, "ml"))
    return next((f"{value:g} {unit}" for value, unit in found if value is not None), "")


def treatment(row: Stored, before: str = "") -> str:
    """The parts of a treatment that a row names, as one says them."""
    return treatment_of([getattr(row, before + part) for part in PARTS])


def treatment_of(parts: Sequence[Stored | None]) -> str:
    """Body, glaze, decoration and trim in words; what is not said is left out, and so is a trim that there is none."""
    body, glaze, decoration, trim = parts
    told = [decoration, glaze, trim if trim is None or trim.kind != "none" else None, body]
    return ", ".join(str(part) for part in told if part is not None)


def offered(table: str, text: str, user: User) -> list[Stored]:
    """Rows whose names begin with, then hold, what was typed."""
    words = text.strip()
    found = rows(table, user).filter(_holding(table, words, "icontains")) if words else rows(table, user)
    begins = words.casefold()
    order = lambda row: (not (name := called(row).casefold()).startswith(begins), name)  # noqa: E731
    return sorted(found[:200], key=order)[:MOST_OFFERED]


def offered_things(text: str, user: User) -> list[Stored]:
    """Things of any table, by name or by a name that somebody gave them; a number by its code."""
    words = text.strip()
    if not words:
        return []
    found = [row for table in THINGS for row in offered(table, words, user)]
    return [*found, *_by_other_name(words, user, {row.pk for row in found})][:MOST_OFFERED]


def _by_other_name(words: str, user: User, had: set[str]) -> list[Stored]:
    names = rows("names", user).filter(name__icontains=words[:LONGEST]).exclude(thing__in=had)[:MOST_OFFERED]
    wanted: dict[str, set[str]] = {}
    for name in names:
        wanted.setdefault(name.thing_table, set()).add(name.thing)
    return [row for table, ids in wanted.items() if table in THINGS for row in rows(table, user).filter(pk__in=ids)]


def in_full(row: Stored) -> str:
    """What one calls a thing, and what it is."""
    return f"{called(row)} · {WORD[row.SPEC.name]}"


def meant(table: str, text: str, user: User) -> Stored:
    """The row that somebody means by a name, by what it is called in full, or by an id.

    Raises
    ------
    BadInput
        There is none, or more than one; the text says what there is.
    """
    words = " ".join(text.split())
    bare = words.partition(" (")[0] if table == "forms" else words.partition(" on ")[0] if table == "numbers" else words
    found = list(rows(table, user).filter(_holding(table, bare, "iexact") | Q(pk=words))[:MOST_OFFERED])
    exact = [row for row in found if words.casefold() in (called(row).casefold(), row.pk)] or found
    if len(exact) != 1:
        raise BadInput(_which(table, words, [called(row) for row in exact], user))
    return exact[0]


def meant_thing(text: str, user: User) -> Stored:
    """The thing of any table that somebody means by “Ormsley · line”, or by a name that only one has.

    Raises
    ------
    BadInput
        There is none, or more than one.
    """
    name, _, word = text.rpartition(" · ")
    table = next((table for table in THINGS if WORD[table] == word.strip()), None)
    if table is not None:
        return meant(table, name, user)
    found = [row for table in THINGS if (row := _maybe(table, text, user)) is not None]
    if len(found) != 1:
        given = f"{len(found)} things are" if found else "nothing is"
        told = "; ".join(map(in_full, found))
        raise BadInput(f"{given} called “{text}”; write " + (f"which: {told}" if found else "a name of the reference"))
    return found[0]


def _maybe(table: str, text: str, user: User) -> Stored | None:
    try:
        return meant(table, text, user)
    except BadInput:
        return None


def _holding(table: str, words: str, how: str) -> Q:
    asked = Q()
    for column in _NAMED.get(table, ("name",)):
        asked |= Q(**{f"{column}__{how}": words[:LONGEST]})
    return asked


def _which(table: str, words: str, names: list[str], user: User) -> str:
    word = WORD[table]
    if names:
        return f"{len(names)} rows of {table} are called “{words}”: {'; '.join(names)}; write which"
    near = Nearest(called(row) for row in rows(table, user)[:2000]).suggestion(words)
    told = near.replace("'", "“", 1).replace("'?", "”?") if near else f"add the {word} first"
    return f"no {word} is called “{words}”; {told}"
