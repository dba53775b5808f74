"""Date-code schemes, built from rows: what a pack or the tables that ship with Footring say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from footring.marks.datecode_dates import Span, between
from footring.marks.datecode_fields import FREE_CLASSES, GIVES, KINDS, Field, Token, prepared
from footring.terms.errors import BadInput
from footring.terms.tables import read_table

SCANS = ("part", "line", "across", "apart")
"""Where a scheme's codes are looked for in a mark: anywhere in a part, as a whole line, running on into the next
part too, or nowhere (only a code given apart is read)."""

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, eq=False)
class Scheme:
    """One way a maker dated its ware.

    Parameters
    ----------
    id, name, maker : str
    makers : str
        Words that name the maker (`speaks` in `datecode_notation` has their grammar).
    style : str
        Words the mark must have for the scheme to hold; empty for any mark.
    span : Span
        Months in which the scheme was in use.
    technique, frame : str
        How its codes were made, and what stands round them, where that tells two series apart; else empty.
    dates : tuple of str
        What the code dates: "potted", "decorated", or either.
    alternative_of : tuple of str
        Ids of the schemes it contradicts.
    weight, floor : float
        How far it is trusted against its alternatives; the likelihood left outside its dates.
    scan : str
        One of `SCANS`.
    ways : tuple of tuples of Field
        The ways of writing a code, each an ordered run of fields.
    """

    id: str
    name: str
    maker: str
    makers: str
    style: str
    span: Span
    technique: str
    frame: str
    dates: tuple[str, ...]
    alternative_of: tuple[str, ...]
    weight: float
    floor: float
    scan: str
    source: str
    status: str
    ways: tuple[tuple[Field, ...], ...] = ()


class _Faults(list[str]):
    """Faults found in the rows, told all at once."""

    def number(self, row: Row, column: str, default: float, what: str) -> float:
        text = _text(row, column)
        try:
            return float(text) if text else default
        except ValueError:
            self.append(f"{what}: {column} is {text!r}, expected a number")
            return default

    def one_of(self, value: str, allowed: Iterable[str], column: str, what: str) -> None:
        if value not in allowed:
            self.append(f"{what}: {column} is {value!r}, expected one of {', '.join(filter(None, allowed))}")

    def span(self, first: str, last: str, what: str) -> Span | None:
        found = between(first, last)
        if found is None:
            self.append(f"{what}: {first!r} to {last!r} is no span; expected years or months in order, such as 1960-02")
        return found


def _text(row: Row, column: str) -> str:
    value = row.get(column)
    return "" if value is None else str(value).strip()


def _parts(row: Row, column: str, default: tuple[str, ...]) -> tuple[str, ...]:
    text = _text(row, column)
    return tuple(one.strip().replace("_", " ") for one in text.split("|")) if text else default


def build_schemes(
    scheme_rows: Iterable[Row], field_rows: Iterable[Row], token_rows: Iterable[Row]
) -> tuple[Scheme, ...]:
    """Schemes from the rows of their three tables.

    Parameters
    ----------
    scheme_rows, field_rows, token_rows : iterable of mapping
        Rows with the columns of `tables/datecode_schemes.csv`, `datecode_fields.csv` and `datecode_tokens.csv`;
        a column that is missing, None or empty takes its default.

    Raises
    ------
    BadInput
        With every fault of the rows, if there is any.

    Examples
    --------
    >>> rows = [{"id": "tarn", "maker": "Quillow & Tarn", "maker_pattern": "tarn", "span_from": 1920, "span_to": 1929}]
    >>> fields = [{"scheme": "tarn", "position": 1, "kind": "number", "name": "year", "gives": "year2", "width": 2}]
    >>> build_schemes(rows, fields, [])[0].maker
    'Quillow & Tarn'
    """
    faults = _Faults()
    schemes = [_scheme(row, faults) for row in scheme_rows]
    field_rows = list(field_rows)
    tokens = _tokens(token_rows, faults)
    faults.extend(f"tokens of {name}: there is no such field" for name in sorted(set(tokens) - _tables(field_rows)))
    ways = _ways(field_rows, {scheme.id: scheme for scheme in schemes}, tokens, faults)
    _check_together(schemes, ways, faults)
    if faults:
        raise BadInput(f"the date-code schemes cannot be used: {'; '.join(faults)}. Put these rows right")
    return tuple(replace(scheme, ways=tuple(ways[scheme.id].values())) for scheme in schemes)


def _scheme(row: Row, faults: _Faults) -> Scheme:
    what = f"scheme {_text(row, 'id') or '(no id)'}"
    dates = tuple(_text(row, "dates").split()) or ("decorated",)
    made = Scheme(
        id=_text(row, "id"),
        name=_text(row, "name") or _text(row, "id"),
        maker=_text(row, "maker"),
        makers=_text(row, "maker_pattern") or _text(row, "maker").lower(),
        style=_text(row, "style"),
        span=faults.span(_text(row, "span_from"), _text(row, "span_to"), what) or (0, 0),
        technique=_text(row, "technique"),
        frame=_text(row, "frame"),
        dates=dates,
        alternative_of=tuple(_text(row, "alternative_of").split()),
        weight=faults.number(row, "weight", 1.0, what),
        floor=faults.number(row, "floor", 0.01, what),
        scan=_text(row, "scan") or "part",
        source=_text(row, "source"),
        status=_text(row, "status") or "memory",
    )
    for date in dates:
        faults.one_of(date, ("potted", "decorated"), "dates", what)
    faults.one_of(made.scan, SCANS, "scan", what)
    if not (0 < made.weight <= 1 and 0 < made.floor < 1):
        faults.append(f"{what}: weight is {made.weight:g} and floor {made.floor:g}, expected 0 to 1")
    if made.span[1] - made.span[0] > 12 * 1000:
        faults.append(f"{what}: its span is longer than 1,000 years")
    return made


def _tokens(rows: Iterable[Row], faults: _Faults) -> dict[str, dict[str, tuple[Token, ...]]]:
    """Tokens by "scheme/field", then by their text."""
    found: dict[str, dict[str, tuple[Token, ...]]] = defaultdict(dict)
    for row in rows:
        field = f"{_text(row, 'scheme')}/{_text(row, 'field')}"
        token = _token(row, f"token {_text(row, 'token')!r} of {field}", faults)
        found[field][token.text] = (*found[field].get(token.text, ()), token)
    return found


def _token(row: Row, what: str, faults: _Faults) -> Token:
    value, first = _text(row, "value"), _text(row, "span_from")
    if not _text(row, "token"):
        faults.append(f"{what}: the token is empty")
    span = faults.span(first, _text(row, "span_to"), what) if first else None
    months = _months(value, what, faults) if value.startswith("month") else None
    return Token(
        text=_text(row, "token"),
        dates=(span,) if span else None,
        months=months,
        kept=None if months or value == "skipped" else value or None,
        skipped=value == "skipped",
        status=_text(row, "status") or "memory",
    )


def _months(value: str, what: str, faults: _Faults) -> tuple[int, int] | None:
    """`month 6` or `months 1-6`."""
    runs = value.removeprefix("months").removeprefix("month").strip().split("-")
    if all(run.isdecimal() and 1 <= int(run) <= 12 for run in runs) and int(runs[0]) <= int(runs[-1]):
        return int(runs[0]), int(runs[-1])
    faults.append(f"{what}: value is {value!r}, expected such as 'month 6' or 'months 1-6'")
    return None


def _tables(rows: Iterable[Row]) -> set[str]:
    return {_text(row, "table") or f"{_text(row, 'scheme')}/{_text(row, 'name')}" for row in rows}


Ways = dict[str, dict[str, tuple[Field, ...]]]


def _ways(
    rows: Iterable[Row],
    schemes: Mapping[str, Scheme],
    tokens: Mapping[str, Mapping[str, tuple[Token, ...]]],
    faults: _Faults,
) -> Ways:
    ways: Ways = defaultdict(dict)
    for row in sorted(rows, key=lambda row: _place(row, faults)):
        scheme, way = _text(row, "scheme"), _text(row, "way")
        what = f"field {_text(row, 'name') or _text(row, 'position')} of {scheme}"
        if scheme not in schemes:
            faults.append(f"{what}: there is no scheme {scheme!r}")
            continue
        table = _text(row, "table") or f"{scheme}/{_text(row, 'name')}"
        made = _field(row, schemes[scheme].span, tokens.get(table, {}), what, faults)
        ways[scheme][way] = (*ways[scheme].get(way, ()), made)
    return ways


def _place(row: Row, faults: _Faults) -> float:
    return faults.number(row, "position", 0, f"field {_text(row, 'name')} of {_text(row, 'scheme')}")


def _field(row: Row, span: Span, tokens: Mapping[str, tuple[Token, ...]], what: str, faults: _Faults) -> Field:
    number = {
        column: int(faults.number(row, column, default, what))
        for column, default in (("base", 0), ("step", 1), ("min", 0), ("max", 99))
    }
    made = Field(
        kind=_text(row, "kind"),
        name=_text(row, "name") or _text(row, "kind"),
        gives=_text(row, "gives"),
        before=_parts(row, "before", ("", " ")),
        after=_parts(row, "after", ("",)),
        optional=_text(row, "optional").lower() in ("yes", "true", "1"),
        base=number["base"],
        step=number["step"],
        least=number["min"],
        most=number["max"],
        widths=_widths(_text(row, "width"), what, faults),
        sign=_text(row, "sign"),
        text=_text(row, "text"),
        lost=faults.number(row, "lost", 0.0, what),
        tokens=tokens,
        span=span,
    )
    _check(made, what, faults)
    return prepared(made) if made.kind in KINDS and made.most <= 999 else made


def _widths(text: str, what: str, faults: _Faults) -> tuple[int, ...]:
    ends = (text or "1-2").split("-")
    if len(ends) <= 2 and all(end.isdecimal() and 1 <= int(end) <= 4 for end in ends):
        return tuple(range(int(ends[0]), int(ends[-1]) + 1))
    faults.append(f"{what}: width is {text!r}, expected 1 to 4, or such as 1-2")
    return (1,)


def _check(made: Field, what: str, faults: _Faults) -> None:
    faults.one_of(made.kind, KINDS, "kind", what)
    faults.one_of(made.gives, GIVES, "gives", what)
    needs = {
        "literal": "text",
        "says": "text",
        "position": "text",
        "count": "sign",
        "missing": "sign",
        "token": "tokens",
    }
    needed = needs.get(made.kind)
    if needed and not getattr(made, needed):
        faults.append(f"{what}: a field of kind {made.kind} needs {needed}")
    if made.kind == "free" and made.text:
        faults.one_of(made.text, FREE_CLASSES, "text", what)
    if made.least > made.most or made.most > 999:
        faults.append(f"{what}: min {made.least} and max {made.most} are no range up to 999")
    if not 0 <= made.base <= 9999 or not 0 <= made.lost < 1 or abs(made.step) > 100:
        faults.append(f"{what}: base {made.base}, step {made.step} or lost {made.lost:g} cannot be")


def _check_together(schemes: Iterable[Scheme], ways: Ways, faults: _Faults) -> None:
    seen: set[str] = set()
    for scheme in schemes:
        if not scheme.id or scheme.id in seen:
            faults.append(f"scheme {scheme.id!r}: its id is empty or given twice")
        if not ways[scheme.id]:
            faults.append(f"scheme {scheme.id}: it has no fields")
        seen.add(scheme.id)
    for scheme in schemes:
        faults.extend(
            f"scheme {scheme.id}: alternative_of names {other!r}, which is no scheme"
            for other in scheme.alternative_of
            if other not in seen
        )


@cache
def builtin_schemes() -> tuple[Scheme, ...]:
    """The schemes that ship with Footring, built once.

    Examples
    --------
    >>> all(scheme.source for scheme in builtin_schemes())
    True
    """
    names = ("datecode_schemes.csv", "datecode_fields.csv", "datecode_tokens.csv")
    return build_schemes(*(read_table("footring.marks", name) for name in names))
