"""Readings as typed, `NAME=VALUE` or a row of a table, become feet.

Empty is not looked at; `none` is looked for and not there; `value ~0.7` is doubtful; quotes keep a value as it
stands (`"none"`). A name may be repeated: `mark.2`, with its own `mark_kind.2`. `lid.` and `base.` say which part.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches

from footring.marks.foot import Foot, MarkPart
from footring.marks.numerals import KINDS, kind_named
from footring.marks.transcription import parse_mark, technique_named
from footring.terms.errors import BadInput

NAMES = tuple(
    "mark mark_kind mark_colour mark_place label date_code number numeral numeral_kind numeral_place maker line form"
    " feature trade_size across height capacity body glaze effect decoration technique placement trim customer country"
    " made channel piece_id".split()
)
"""Every reading has one of these names. Those that say nothing of dates are kept and left alone."""

_NAME = re.compile(r"(?:(?P<part>lid|base)\.)?(?P<name>[a-z_]+?)(?:\.(?P<index>[1-9][0-9]?))?")
_DOUBT = re.compile(r"(?P<value>.*\S)\s+~(?P<p>0?\.[0-9]+)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Reading:
    """One thing read off a piece.

    Parameters
    ----------
    name : str
        One of `NAMES`.
    value : str
        As typed, without quotes or doubt; empty when absent.
    p : float
        How sure the reader was, above 0, at most 1.
    absent : bool
        Looked for and not there.
    part : str or None
        "lid", "base", or None for the whole.
    index : int
        Which of several readings of one name.
    """

    name: str
    value: str
    p: float = 1.0
    absent: bool = False
    part: str | None = None
    index: int = 1


def read_reading(name: str, value: str) -> Reading | None:
    """One reading from its name and its value as typed; None when the value is empty (not looked at).

    Raises
    ------
    BadInput
        If no reading has that name.

    Examples
    --------
    >>> read_reading("lid.mark.2", "ORMSLEY ~0.7")
    Reading(name='mark', value='ORMSLEY', p=0.7, absent=False, part='lid', index=2)
    >>> read_reading("date_code", "none").absent
    True
    """
    where = _NAME.fullmatch(name.strip())
    if not where or where["name"] not in NAMES:
        near = get_close_matches(name, NAMES, 1)
        hint = f"did you mean {near[0]}?" if near else "the names are " + ", ".join(NAMES)
        raise BadInput(f"no reading is called {name!r}: {hint}")
    text, p = _doubt(value.strip())
    if not text:
        return None
    absent = text.casefold() == "none"
    index = int(where["index"] or 1)
    return Reading(where["name"], "" if absent else _unquoted(text), p, absent, where["part"], index)


def _doubt(text: str) -> tuple[str, float]:
    doubtful = _DOUBT.fullmatch(text)
    if not doubtful or float(doubtful["p"]) == 0.0:
        return text, 1.0
    return doubtful["value"], float(doubtful["p"])


def _unquoted(text: str) -> str:
    inside = text[1:-1]
    whole = len(text) > 1 and text[0] == text[-1] == '"' and '"' not in inside and _needs_quotes(inside)
    return inside if whole else text


def _needs_quotes(inside: str) -> bool:
    return inside.casefold().strip() in ("", "none") or bool(_DOUBT.fullmatch(inside))


def feet(readings: Iterable[Reading]) -> dict[str | None, Foot]:
    """One foot for each part that was read: None for the whole piece, its base included, then "lid".

    A base that is read apart belongs to the same foot as what was read of the whole.
    """
    by_part: dict[str | None, list[Reading]] = {None: []}
    for reading in readings:
        by_part.setdefault("lid" if reading.part == "lid" else None, []).append(reading)
    return {part: _foot(of_part) for part, of_part in by_part.items()}


def _foot(readings: list[Reading]) -> Foot:
    named = {(r.name, r.index): r for r in readings}
    plain = {r.name: r.value for r in readings if r.index == 1 and not r.absent}
    marks = [r for r in readings if r.name == "mark"]
    labels = [r for r in readings if r.name == "label"]
    return Foot(
        parts=tuple(part for r in sorted(marks, key=lambda r: r.index) for part in _mark_parts(r, named))
        + tuple(part for r in labels for part in _label_parts(r)),
        date_codes=tuple(_given_apart(r) for r in readings if r.name == "date_code"),
        numerals=tuple(_numeral(r, named) for r in readings if r.name in ("numeral", "number")),
        maker=plain.get("maker"),
        country=plain.get("country"),
        form=plain.get("form"),
        body=plain.get("body"),
        customer=plain.get("customer"),
        made=plain.get("made"),
        made_p=named["made", 1].p if "made" in plain else 1.0,
    )


def _mark_parts(reading: Reading, named: Mapping[tuple[str, int], Reading]) -> tuple[MarkPart, ...]:
    kind, colour, place = (
        (named[key].value or None) if (key := (f"mark_{what}", reading.index)) in named else None
        for what in ("kind", "colour", "place")
    )
    parts = (MarkPart("", absent=True),) if reading.absent else parse_mark(reading.value)
    return tuple(
        replace(
            part,
            technique=technique_named(kind) if kind else part.technique,
            colour=colour or part.colour,
            place=place or part.place,
            p=reading.p,
        )
        for part in parts
    )


def _label_parts(reading: Reading) -> tuple[MarkPart, ...]:
    if reading.absent:
        return ()
    return tuple(replace(part, technique="label", p=reading.p) for part in parse_mark(reading.value))


def _given_apart(reading: Reading) -> MarkPart:
    return MarkPart(reading.value, absent=reading.absent, p=reading.p)


def _numeral(reading: Reading, named: Mapping[tuple[str, int], Reading]) -> MarkPart:
    place = named.get(("numeral_place", reading.index))
    kind = named.get(("numeral_kind", reading.index))
    return MarkPart(
        reading.value,
        technique=figure_technique(kind) if kind and reading.name == "numeral" else None,
        place=place.value if place else None,
        absent=reading.absent,
        p=reading.p,
    )


def figure_technique(kind: Reading) -> str | None:
    """How a figure was put there, from a reading `numeral_kind`; None where it says what the figure is instead.

    Raises
    ------
    BadInput
        It is neither a way of marking nor one of the kinds of figure.

    Examples
    --------
    >>> figure_technique(Reading("numeral_kind", "rubber-stamped"))
    'stamped'
    """
    if kind.absent or kind_named(kind.value):
        return None
    try:
        return technique_named(kind.value)
    except BadInput:
        raise BadInput(
            f"numeral_kind {kind.value!r}: expected how the figure was put there (impressed, incised, raised, printed, "
            f"stamped, painted, pencilled) or what it is ({', '.join(KINDS)})"
        ) from None
