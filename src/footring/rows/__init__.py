"""Frozen row classes, one per table, and the same columns as arrays."""

from footring.rows.base import Row, Statement, Thing
from footring.rows.schema import TABLES, Column, TableSpec, spec_of

__all__ = ["TABLES", "Column", "Row", "Statement", "TableSpec", "Thing", "spec_of"]
