"""One cell's text <-> its value.

A cell of text that a spreadsheet program would take for a formula (it begins with = + - @, a tab or a carriage
return, and is not a number) is written with an apostrophe before it, and one that begins with apostrophes and then
such a sign gets one more. Reading takes that apostrophe off again, so nothing is lost, and a cell that begins with
such a sign itself is refused.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from math import isfinite
from typing import NoReturn
from unicodedata import category, is_normalized, name

from footring.packs.faults import PackFault, quoted
from footring.packs.names import did_you_mean
from footring.rows.schema import Column, Scalar
from footring.terms.errors import BadInput
from footring.terms.units import parse_capacity, parse_length

TRUE, FALSE = frozenset({"true", "True", "TRUE", "1"}), frozenset({"false", "False", "FALSE", "0"})
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_WHOLE = re.compile(r"[+-]?[0-9]+(?:\.0+)?")
_FORMULA = re.compile(r"[=+\-@\t\r]")
_HELD = re.compile(r"'+[=+\-@\t\r]")
PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9._:/-]{0,99}")
"""Text and ids that are read as they stand, and most are such."""
_UNSEEN = {"Cf", "Zl", "Zp", "Zs"}
"""Signs that leave two ids looking the same: joiners, direction marks, spaces of other widths."""
_LONGEST_NUMBER = 400
_MOST = 2**63 - 1


class BadCell(Exception):
    """Why a cell cannot be read: its kind of fault, what was expected, what to do."""

    def __init__(self, kind: str, expected: str, suggestion: str = "") -> None:
        super().__init__(kind, expected, suggestion)
        self.kind, self.expected, self.suggestion = kind, expected, suggestion

    def at(self, file: str, line: int, column: int, name: str, given: object) -> PackFault:
        """The fault of the cell at a place."""
        shown = quoted(given) if given != "" else "nothing"
        return PackFault(self.kind, file, line, column, name, shown, self.expected, self.suggestion)


def is_formula(text: str) -> bool:
    """Whether a spreadsheet program would run this text.

    Examples
    --------
    >>> is_formula("=1+1"), is_formula("-5"), is_formula("- 417 -")
    (True, False, True)
    """
    return _FORMULA.match(text) is not None and _NUMBER.fullmatch(text) is None


def held_text(text: str) -> str:
    """The text as it is written: an apostrophe before what would be a formula.

    Examples
    --------
    >>> held_text("417"), held_text("=417"), held_text("'=417")
    ('417', "'=417", "''=417")
    """
    return f"'{text}" if is_formula(text) or _HELD.match(text) else text


def read_text(text: str) -> str:
    """The text that `held_text` wrote."""
    if text[:1] == "'":
        return text[1:] if _HELD.match(text) else text
    if is_formula(text):
        say = f"write it with an apostrophe before it ('{text[:20]}) if these signs do stand there"
        raise BadCell("a formula", "text that no spreadsheet program would run", say)
    return text


def cell_reader(column: Column) -> Callable[[str], Scalar]:
    """The function that reads a cell of a column; it raises `BadCell`. An empty cell is None or the default."""
    readers: dict[type, Callable[[str], Scalar]] = {
        bool: _bool,
        int: _whole,
        float: _number(column.name),
        str: read_text,
    }
    read = readers[column.type]
    if column.type is str and (column.name == "id" or column.refers_to or column.refers_by):
        read = _id
    elif column.choices:
        read = _choice(column.choices)
    if column.required:
        return lambda text: _empty(column) if not text or text.isspace() else read(text)
    return lambda text: read(text) if text else column.default


def _empty(column: Column) -> NoReturn:
    want = f"one of {', '.join(column.choices)}" if column.choices else "a value"
    raise BadCell("a missing value", want, f"{column.name} cannot be left empty")


def _id(text: str) -> str:
    text = read_text(text)
    if text != text.strip():
        raise BadCell("a space around an id", "an id without spaces around it", f"write {text.strip()!r}")
    if "\n" in text or "\r" in text or "\t" in text:
        raise BadCell("a line break in an id", "an id in one line", "take the line break or tab out")
    if unseen := next((sign for sign in text if sign != " " and category(sign) in _UNSEEN), None):
        say = f"take out U+{ord(unseen):04X} ({name(unseen, 'without a name')})"
        raise BadCell("an invisible sign in an id", "signs that can be seen", say)
    if not is_normalized("NFC", text):
        want, say = "each accented letter as one sign", "type the accented letters anew"
        raise BadCell("an id spelt in another way", f"{want} (Unicode NFC)", say)
    return text


def _choice(choices: tuple[str, ...]) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in choices:
            raise BadCell("not one of the choices", f"one of {', '.join(choices)}", did_you_mean(text, choices))
        return text

    return read


def _bool(text: str) -> bool:
    if text in TRUE:
        return True
    if text in FALSE:
        return False
    meant = {"y": "true", "yes": "true", "t": "true", "n": "false", "no": "false", "f": "false"}
    guess = meant.get(text.strip().casefold()) or text.strip().casefold()
    raise BadCell("neither true nor false", "true or false", f"write {guess}" if guess in ("true", "false") else "")


def _number(column: str) -> Callable[[str], float]:
    def read(text: str) -> float:
        if len(text) > _LONGEST_NUMBER or _NUMBER.fullmatch(text) is None:
            raise BadCell("not a number", "a number such as 184 or 18.4", _number_hint(text, column))
        value = float(text)
        if not isfinite(value):
            raise BadCell("not a number", "a number below 1e308")
        return value

    return read


def _number_hint(text: str, column: str) -> str:
    plain = text.strip().replace(" ", "")
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", plain):
        return f"write {plain.replace(',', '.')} if the comma is a decimal point"
    if _NUMBER.fullmatch(plain):
        return f"write {plain}"
    return _plain_number(text, column) or "leave the cell empty where it is not known"


def _plain_number(text: str, column: str) -> str:
    """What to write instead of a length or capacity typed with its unit."""
    parsers = {"_mm": lambda: parse_length(text).mm, "_ml": lambda: parse_capacity(text).ml}
    try:
        return f"write {parsers[column[-3:]]():.5g}; the unit stands in the column's name"
    except (KeyError, BadInput):
        return ""


def _whole(text: str) -> int:
    if len(text) > _LONGEST_NUMBER or _WHOLE.fullmatch(text) is None:
        raise BadCell("not a whole number", "a whole number such as 14", "count again, or leave the cell empty")
    value = int(text.partition(".")[0])
    if abs(value) > _MOST:
        raise BadCell("not a whole number", "a whole number below 9e18")
    return value


def cell_text(value: Scalar) -> str:
    """A value as it is written: the shortest text that reads back as the same value.

    Examples
    --------
    >>> [cell_text(v) for v in (None, True, 184.0, 18.4, 417, "=417")]
    ['', 'true', '184', '18.4', '417', "'=417"]
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        if not isfinite(value):
            raise BadInput(f"the number {value} cannot be written; give a finite one, or None where it is not known")
        return repr(value).removesuffix(".0")
    return held_text(value) if isinstance(value, str) else str(value)
