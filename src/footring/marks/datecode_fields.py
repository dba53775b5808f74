"""The fields a date code is made of, and how each is read at one place of a code."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from footring.marks.datecode_dates import Span, merged, year_span
from footring.marks.datecode_notation import roman

GIVES = ("year", "year2", "month", "keep", "check", "")
"""What a field gives: a year, its last two figures, a month, something kept that is no date, or only a check."""

OUTSIDE = "outside the scheme's span: a contradiction, not a date"


@dataclass(frozen=True, slots=True)
class Token:
    """One token of an enumerated field, and what it stands for."""

    text: str
    dates: tuple[Span, ...] | None = None
    months: tuple[int, int] | None = None
    kept: str | None = None
    skipped: bool = False
    status: str = "opened"


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one field of one code was read as.

    `dates` is None where the field says nothing of the year, and empty where it stands for no year at all.
    """

    dates: tuple[Span, ...] | None = None
    months: tuple[tuple[int, int], ...] | None = None
    kept: str | None = None
    problem: str | None = None
    lost: tuple[tuple[float, tuple[Span, ...]], ...] = ()
    status: str = "opened"


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """One field of a scheme, as its row says (see docs/how-to/add-a-date-code-scheme.md)."""

    kind: str
    name: str
    gives: str = ""
    before: tuple[str, ...] = ("", " ")
    after: tuple[str, ...] = ("",)
    optional: bool = False
    base: int = 0
    step: int = 1
    least: int = 0
    most: int = 99
    widths: tuple[int, ...] = (1, 2)
    sign: str = ""
    text: str = ""
    lost: float = 0.0
    tokens: Mapping[str, tuple[Token, ...]] = field(default_factory=dict)
    span: Span = (0, 0)
    pattern: re.Pattern[str] | None = None

    def read(self, code: str, at: int) -> Iterator[tuple[int, Meaning | None]]:
        """Every end this field can have when it begins at `at`, with its meaning; None where it is left out."""
        if self.optional:
            yield at, None
        for lead in self.before if at else ("",):
            if code.startswith(lead, at):
                for end, meaning in KINDS[self.kind](self, code, at + len(lead)):
                    yield from ((end + len(tail), meaning) for tail in self.after if code.startswith(tail, end))


def prepared(row: Field) -> Field:
    """The same field with what its kind needs made ready once."""
    if row.kind == "count":
        return replace(row, pattern=_count_pattern(row))
    if row.kind == "missing":
        named = rf"([0-9]{{1,2}}|\?)th {re.escape(row.sign)} missing|missing ([0-9]{{1,2}}|\?)th {re.escape(row.sign)}"
        return replace(row, pattern=re.compile(named))
    if row.kind == "roman":
        found = {roman(n): (Token(roman(n), _years(row, [n])),) for n in range(max(row.least, 1), row.most + 1)}
        return replace(row, tokens=found)
    return row


def _count_pattern(row: Field) -> re.Pattern[str]:
    some = r"(?:(?P<left>[0-9]{1,2})\+(?P<right>[0-9]{1,2})|(?P<n>[0-9?]{1,2})) "
    signs = rf"(?:{some})?{re.escape(row.sign)}(?P<each> each side)?(?![a-z])"
    if all(row.after):  # where a place is said, the sign may go unsaid: "9 below"
        return re.compile(rf"{signs}|(?P<only>[0-9]{{1,2}})")
    return re.compile(rf"{signs}|(?P<only>(?!))")


def _literal(row: Field, code: str, at: int) -> Iterator[tuple[int, Meaning]]:
    for text in row.text.split("|"):
        if code.startswith(text, at):
            yield at + len(text), Meaning()


def _says(row: Field, _: str, at: int) -> Iterator[tuple[int, Meaning]]:
    yield at, Meaning(kept=row.text)


def _token(row: Field, code: str, at: int) -> Iterator[tuple[int, Meaning]]:
    for width in {len(token) for token in row.tokens}:
        chunk = code[at : at + width]
        found = row.tokens.get(chunk, ()) if "?" not in chunk else _alike(row.tokens, chunk)
        if found and len(chunk) == width:
            yield at + width, _meaning(row, chunk, found)


def _alike(tokens: Mapping[str, Sequence[Token]], chunk: str) -> list[Token]:
    same = (text for text in tokens if len(text) == len(chunk))
    alike = [t for t in same if all(c in ("?", d) for c, d in zip(chunk, t, strict=True))]
    return [token for text in alike for token in tokens[text]]


def _meaning(row: Field, chunk: str, found: Sequence[Token]) -> Meaning:
    live = [token for token in found if not token.skipped]
    if not live:
        return Meaning((), problem=f"{row.name} {chunk} was skipped: probably a misreading")
    dated = [token.dates for token in live]
    months = [token.months for token in live]
    said = {token.kept or token.text for token in live if token.dates is None and token.months is None}
    return Meaning(
        dates=None if None in dated else merged(span for spans in dated if spans for span in spans),
        months=None if None in months else tuple(sorted({run for run in months if run})),
        kept=" or ".join(sorted(said)) or None,
        status=next((token.status for token in live if not token.status.startswith("opened")), "opened"),
    )


def _number(row: Field, code: str, at: int) -> Iterator[tuple[int, Meaning]]:
    for width in row.widths:
        chunk = code[at : at + width]
        if len(chunk) == width and all(c in "0123456789?" for c in chunk) and chunk.isascii():
            meaning = _counted(row, chunk, _numbers(chunk))
            if meaning is not None:
                yield at + width, meaning


def _numbers(chunk: str) -> list[int]:
    return [int("".join(figures)) for figures in product(*("0123456789" if c == "?" else c for c in chunk))]


def _counted(row: Field, said: str, values: Sequence[int]) -> Meaning | None:
    """What a number stands for; None where the field cannot be read so at all."""
    fit = [value for value in values if row.least <= value <= row.most]
    if not fit:
        expected = str(row.least) if row.least == row.most else f"{row.least} to {row.most}"
        wrong = f"{row.name}: {said} read where {expected} is expected: a miscount or a misreading"
        return {"year": Meaning((), problem=wrong), "check": Meaning(problem=wrong)}.get(row.gives)
    if row.gives == "month":
        return Meaning(months=tuple(sorted({(m, m) for value in fit if 1 <= (m := row.base + value) <= 12})))
    if row.gives in ("year", "year2"):
        years = _years(row, fit)
        return Meaning(years, lost=_lost(row, fit), problem=None if years else OUTSIDE)
    return Meaning(kept=said if row.gives == "keep" else None)


def _years(row: Field, values: Sequence[int]) -> tuple[Span, ...]:
    if row.gives != "year2":
        return merged(year_span(row.base + row.step * value) for value in values)
    wanted = set(values)
    held = range(row.span[0] // 12, row.span[1] // 12 + 1)
    return merged(year_span(year) for year in held if year % 100 in wanted)


def _lost(row: Field, values: Sequence[int]) -> tuple[tuple[float, tuple[Span, ...]], ...]:
    """Later years, less likely: a sign can be lost or overlooked, hardly be added."""
    if not row.lost or len(values) != 1:
        return ()
    more = range(1, min(3, row.most - values[0]) + 1)
    return tuple((row.lost**k, _years(row, [values[0] + k])) for k in more)


def _count(row: Field, code: str, at: int) -> Iterator[tuple[int, Meaning]]:
    found = row.pattern.match(code, at) if row.pattern else None
    if found:
        values = _how_many(found, row)
        meaning = _counted(row, str(values[0]), values)
        if meaning is not None:
            yield found.end(), meaning


def _how_many(found: re.Match[str], row: Field) -> list[int]:
    said = found.groupdict()
    if said["n"] == "?":
        return list(range(row.least, row.most + 1))
    if "?" in (said["n"] or ""):
        return [n * (2 if said["each"] else 1) for n in _numbers(said["n"])]
    plain = int(said["n"] or said["only"] or (0 if said["left"] else 1))
    return [(plain + int(said["left"] or 0) + int(said["right"] or 0)) * (2 if said["each"] else 1)]


_PLACE = re.compile(
    r"(?P<nth>[0-9]{1,2}|\?)th letter(?: (?P<is>[A-Z])(?![A-Za-z]))?"
    r"|letter (?P<at>[0-9]{1,2}|\?)(?: (?P<at_is>[A-Z])(?![A-Za-z]))?"
    r"|(?P<which>[0-9]{1,2})th (?P<of>[A-Z])(?![A-Za-z])"
    r"|(?P<letter>[A-Z?])(?![A-Za-z?])"
)


def _position(row: Field, code: str, at: int) -> Iterator[tuple[int, Meaning]]:
    found = _PLACE.match(code, at)
    places = _places(found, row.text.replace(" ", "")) if found else []
    if found and places:
        yield found.end(), _at_places(row, found[0], places)


def _places(found: re.Match[str], text: str) -> list[int]:
    """Places in the text, the first is 1."""
    said = found.groupdict()
    if one := said["letter"]:
        return [n for n, c in enumerate(text, 1) if one in ("?", c)]
    if said["which"]:
        return [n for n, c in enumerate(text, 1) if c == said["of"]][int(said["which"]) - 1 :][:1]
    number, letter = said["nth"] or said["at"], said["is"] or said["at_is"]
    return [n for n, c in enumerate(text, 1) if number in ("?", str(n)) and letter in (None, c)]


def _at_places(row: Field, said: str, places: Sequence[int]) -> Meaning:
    if row.tokens:
        found = [token for n in places for token in row.tokens.get(str(n), ())]
        return (
            _meaning(row, said, found) if found else Meaning((), problem=f"no date is recorded for {row.name} {said}")
        )
    return _counted(row, said, places) or Meaning(())


def _missing(row: Field, code: str, at: int) -> Iterator[tuple[int, Meaning]]:
    found = row.pattern.match(code, at) if row.pattern else None
    if found:
        number = found[1] or found[2]
        values = list(range(row.least, row.most + 1)) if number == "?" else [int(number)]
        meaning = _counted(row, found[0], values)
        if meaning is not None:
            yield found.end(), meaning


_CLASSES: dict[str, Callable[[str], bool]] = {
    "letter": str.isalpha,
    "capital": lambda c: c.isalpha() and c.isupper(),
    "figure": lambda c: c in "0123456789",
    "sign": str.isalnum,
}


def _free(row: Field, code: str, at: int) -> Iterator[tuple[int, Meaning]]:
    fits = _CLASSES[row.text or "sign"]
    for width in row.widths:
        chunk = code[at : at + width]
        if len(chunk) == width and all(c == "?" or fits(c) for c in chunk):
            yield at + width, Meaning(kept=chunk)


KINDS: dict[str, Callable[[Field, str, int], Iterator[tuple[int, Meaning]]]] = {
    "literal": _literal,
    "says": _says,
    "token": _token,
    "number": _number,
    "roman": _token,
    "count": _count,
    "position": _position,
    "missing": _missing,
    "free": _free,
}
"""The kinds of field, each with how it is read."""
FREE_CLASSES = tuple(_CLASSES)
