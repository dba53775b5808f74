"""A table's rows as arrays: for bulk, and for the mathematics."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from footring.rows.base import Row
from footring.rows.column_data import ColumnData, column_data, joined, unknown_column
from footring.rows.schema import TABLES, TableSpec
from footring.terms.errors import BadInput


class RowTable:
    """The rows of one table, a read-only array a column.

    Made by `from_rows` or `from_columns`. Equal to another when every row is, in the same order.

    Examples
    --------
    >>> from footring.rows import TABLES
    >>> from footring.rows.reference_things import Maker
    >>> table = RowTable.from_rows(TABLES["makers"], [Maker("ossel.quillow", name="Quillow & Tarn Works")])
    >>> table.column("name").tolist(), table.column("country").tolist()
    (['Quillow & Tarn Works'], [None])
    """

    __slots__ = ("_columns", "_length", "spec")

    spec: TableSpec
    _columns: dict[str, ColumnData]
    _length: int

    def __init__(self, spec: TableSpec, columns: Mapping[str, ColumnData], length: int) -> None:
        for name, value in (("spec", spec), ("_columns", dict(columns)), ("_length", length)):
            object.__setattr__(self, name, value)

    @classmethod
    def from_rows(cls, spec: TableSpec, rows: Iterable[Row]) -> RowTable:
        """The table of these rows.

        Raises
        ------
        BadInput
            A row of another table, or a value of another type than its column's.
        """
        rows = list(rows)
        stranger = next((row for row in rows if type(row) is not spec.row_class), None)
        if stranger is not None:
            raise BadInput(f"table {spec.name} is made of {spec.row_class.__name__} rows, and was given {stranger!r}")
        return cls.from_columns(spec, {c.name: [getattr(row, c.name) for row in rows] for c in spec.columns})

    @classmethod
    def from_columns(cls, spec: TableSpec, columns: Mapping[str, Any]) -> RowTable:
        """The table of these columns: sequences or arrays of values, or `ColumnData` (see `coded`).

        A column not given holds its default. Arrays are copied.

        Raises
        ------
        BadInput
            Columns of different lengths, or a value of another type than its column's.
        UnknownName
            A column the table does not have.
        """
        found = {name: _column(spec, name, given) for name, given in columns.items()}
        lengths = {name: len(data) for name, data in found.items()}
        if len(set(lengths.values())) > 1:
            raise BadInput(f"table {spec.name}: columns of one length were expected, and these were given: {lengths}")
        length = next(iter(lengths.values()), 0)
        found |= {c.name: unknown_column(c, length) for c in spec.columns if c.name not in found}
        return cls(spec, {c.name: found[c.name] for c in spec.columns}, length)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"a RowTable is not changed; make another one with the new {name}")

    def __reduce__(self) -> tuple[Any, ...]:
        return _restored, (self.spec.name, self._columns, self._length)

    def __len__(self) -> int:
        return self._length

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, RowTable) or self.spec is not other.spec:
            return NotImplemented if not isinstance(other, RowTable) else False
        return all(data.same_as(other._columns[name]) for name, data in self._columns.items())

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return f"<RowTable {self.spec.name}: {len(self)} {'row' if len(self) == 1 else 'rows'}>"

    def column(self, name: str) -> ColumnData:
        """The values of one column.

        Raises
        ------
        UnknownName
            The table has no such column.
        """
        return self._columns[self.spec.column(name).name]

    def row(self, i: int) -> Row:
        """Row i, from 0.

        Raises
        ------
        IndexError
            There is no row i.
        """
        if not 0 <= i < len(self):
            raise IndexError(f"table {self.spec.name} has {len(self)} rows, from 0; row {i} was asked for")
        return self.spec.row_class(**{name: data.value(i) for name, data in self._columns.items()})  # type: ignore[arg-type]

    def rows(self) -> Iterator[Row]:
        """Every row in order."""
        names = list(self._columns)
        for values in zip(*(data.tolist() for data in self._columns.values()), strict=True):
            yield self.spec.row_class(**dict(zip(names, values, strict=True)))

    def take(self, where: Any) -> RowTable:
        """The rows at an index array, a mask or a slice."""
        columns = {name: data.take(where) for name, data in self._columns.items()}
        return RowTable(self.spec, columns, len(columns["id"]))

    @staticmethod
    def concat(tables: Sequence[RowTable]) -> RowTable:
        """Tables of one kind below each other.

        Raises
        ------
        BadInput
            No table, or tables of different kinds.
        """
        specs = {table.spec.name: table.spec for table in tables}
        if len(specs) != 1:
            raise BadInput(f"tables of one kind were expected, and these were given: {sorted(specs) or 'none'}")
        if len(tables) == 1:
            return tables[0]
        (spec,) = specs.values()
        columns = {c.name: joined([table._columns[c.name] for table in tables]) for c in spec.columns}
        return RowTable(spec, columns, sum(map(len, tables)))


def _column(spec: TableSpec, name: str, given: Any) -> ColumnData:
    column = spec.column(name)
    try:
        return column_data(column, given)
    except BadInput as error:
        raise BadInput(f"table {spec.name}, {error}") from None


def _restored(name: str, columns: dict[str, ColumnData], length: int) -> RowTable:
    return RowTable(TABLES[name], columns, length)
