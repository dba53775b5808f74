"""Frozen row classes, one per table, and the same columns as arrays."""

from footring.rows.base import Row, Statement, Thing
from footring.rows.column_data import ColumnData, coded
from footring.rows.open_to_all import is_private, open_to_all
from footring.rows.schema import COLLECTION, TABLES, Column, TableSpec, spec_of
from footring.rows.table import RowTable

__all__ = [
    "COLLECTION", "TABLES", "Column", "ColumnData", "Row", "RowTable", "Statement", "TableSpec", "Thing", "coded",
    "is_private", "open_to_all", "spec_of",
]  # fmt: skip
