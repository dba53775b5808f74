"""datapackage.json: what a pack says of itself (Data Package and Table Schema, version 1; read in version 2 too)."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from footring.packs.cells import FALSE, TRUE
from footring.rows.schema import TABLES, Column, TableSpec

PROFILE, TABLE_PROFILE = "tabular-data-package", "tabular-data-resource"
TYPES = {str: "string", int: "integer", float: "number", bool: "boolean"}
About = Mapping[str, Any]


def describe(tables: Iterable[str], about: About | None = None) -> dict[str, Any]:
    """The descriptor of a pack.

    Parameters
    ----------
    tables : iterable of str
        Names of the tables in it.
    about : mapping, optional
        What else it says of itself (`name`, `title`, `licenses`, `sources` ...), kept in the order given.

    Returns
    -------
    dict
        A Tabular Data Package: `profile`, and a resource with a schema for each table in the order of `TABLES`.

    Notes
    -----
    Source: Data Package, Tabular Data Package and Table Schema 1.0, specs.frictionlessdata.io.

    Examples
    --------
    >>> [resource["path"] for resource in describe(["lines", "makers"])["resources"]]
    ['makers.csv', 'lines.csv']
    """
    wanted = set(tables)
    rest = {key: value for key, value in (about or {}).items() if key not in ("profile", "$schema", "resources")}
    resources = [_resource(spec, wanted) for name, spec in TABLES.items() if name in wanted]
    return {"profile": PROFILE, **rest, "resources": resources}


def descriptor_text(tables: Iterable[str], about: About | None = None) -> str:
    """The descriptor as the text of datapackage.json."""
    return json.dumps(describe(tables, about), ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def _resource(spec: TableSpec, beside: set[str]) -> dict[str, Any]:
    return {
        "name": spec.name,
        "path": f"{spec.name}.csv",
        "profile": TABLE_PROFILE,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": _schema(spec, beside),
    }


def _schema(spec: TableSpec, beside: set[str]) -> dict[str, Any]:
    schema: dict[str, Any] = {
        "fields": [_field(column) for column in spec.columns],
        "missingValues": [""],
        "primaryKey": "id",
    }
    keys = [_foreign_key(column, spec) for column in spec.columns if column.refers_to in beside]
    return schema | ({"foreignKeys": keys} if keys else {})


def _foreign_key(column: Column, spec: TableSpec) -> dict[str, Any]:
    resource = "" if column.refers_to == spec.name else column.refers_to
    return {"fields": column.name, "reference": {"resource": resource, "fields": "id"}}


def _field(column: Column) -> dict[str, Any]:
    field: dict[str, Any] = {"name": column.name, "type": TYPES[column.type]}
    if column.type is bool:
        field |= {"trueValues": sorted(TRUE), "falseValues": sorted(FALSE)}
    constraints: dict[str, Any] = {}
    if column.required:
        constraints["required"] = True
    if column.choices:
        constraints["enum"] = list(column.choices)
    if column.within:
        bounds = zip(("minimum", "maximum"), column.within, strict=True)
        constraints |= {name: bound for name, bound in bounds if abs(bound) != float("inf")}
    return field | ({"constraints": constraints} if constraints else {})
