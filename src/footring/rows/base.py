"""What every row has, and the small functions a row class describes its columns with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, dataclass, field
from math import inf
from typing import Any, ClassVar, TypeVar, dataclass_transform

R = TypeVar("R", bound="Row")


def entry(*, required: bool = False, key: bool = False, **facts: Any) -> Any:
    """A column. `key`: the key columns of a table together occur once among its current rows."""
    return field(default=MISSING if required else None, metadata={"key": key, **facts})


def ref(table: str, *, required: bool = False, key: bool = False) -> Any:
    """A column holding the id of a row of another table."""
    return entry(required=required, key=key, refers_to=table)


def ref_in(table_column: str, *, key: bool = False) -> Any:
    """A required id of a row of whichever table the named column says."""
    return entry(required=True, key=key, refers_by=table_column)


def when(*, required: bool = False, key: bool = False) -> Any:
    """A date in EDTF."""
    return entry(required=required, key=key, date=True)


def one_of(*choices: str, required: bool = False, key: bool = False) -> Any:
    """A word from a short list."""
    return entry(required=required, key=key, choices=choices)


def length_mm() -> Any:
    """A length of a piece of tableware: more than nothing, less than a metre."""
    return entry(between=(0.0, 1000.0))


def quantity(*, required: bool = False) -> Any:
    """A number that cannot be less than nothing."""
    return entry(required=required, within=(0.0, inf))


def share(*, required: bool = False) -> Any:
    """A probability or weight, from 0 to 1."""
    return entry(required=required, within=(0.0, 1.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a table. None is unknown, never absent or none.

    Parameters
    ----------
    id : str
        Opaque, never used again for anything else, with the pack's name in front ("ossel.ormsley").
    recorded_at : str or None
        ISO 8601 day, or day and time, on which it was written down.
    recorded_by : str or None
        Who or what wrote it down.
    private : bool
        Never in anything published or sent.
    """

    TABLE: ClassVar[str] = ""
    KIND: ClassVar[str] = ""

    id: str = field(kw_only=False)
    recorded_at: str | None = entry(moment=True)
    recorded_by: str | None = None
    private: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing(Row):
    """Something that stays itself while what is known of it changes."""

    KIND: ClassVar[str] = "thing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement(Row):
    """Something said or done once, never changed: a new one names in `supersedes` the one it replaces."""

    KIND: ClassVar[str] = "statement"

    supersedes: str | None = entry(refers_to="")


# No field_specifiers: type checkers would then ask for every column that has no `default=` in its own call.
@dataclass_transform(frozen_default=True, kw_only_default=True)
def table(name: str) -> Callable[[type[R]], type[R]]:
    """Make a class the row class of the table with this name (plural; the CSV file has the same name)."""

    def made(cls: type[R]) -> type[R]:
        whole = dataclass(frozen=True, slots=True, kw_only=True)(cls)
        whole.TABLE = name
        return whole

    return made
