"""What is wrong with a datapackage.json that someone else may have written."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from footring.packs.descriptor import PROFILE, TABLE_PROFILE, TYPES, About
from footring.packs.faults import FaultList, PackFault, quoted
from footring.packs.files import DESCRIPTOR
from footring.packs.names import did_you_mean, why_outside
from footring.packs.text import SURROGATE, Unreadable
from footring.rows.schema import TABLES, TableSpec

_PROFILES = (PROFILE, "data-package")
_TABLE_PROFILES = (
    TABLE_PROFILE,
    "data-resource",
    "https://specs.frictionlessdata.io/schemas/tabular-data-resource.json",
)
_DIALECT = {"delimiter": ",", "quoteChar": '"', "doubleQuote": True, "header": True, "lineTerminator": None}
_DEEPEST = 50


def parse_descriptor(text: str) -> dict[str, Any]:
    """The object in a datapackage.json.

    Raises
    ------
    Unreadable
        Not JSON, a key twice, nested without end, or not an object.
    """
    try:
        found = json.loads(text, object_pairs_hook=_once, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        raise Unreadable(
            _fault("not JSON", "", f"JSON text ({error.msg}, at place {error.colno})", line=error.lineno)
        ) from None
    except RecursionError:
        raise Unreadable(_fault("nested too deep", "", f"at most {_DEEPEST} levels")) from None
    except ValueError as error:
        raise Unreadable(_fault("not JSON", str(error), "plain JSON text")) from None
    if not isinstance(found, dict):
        raise Unreadable(_fault("not a descriptor", quoted(found), 'an object: {"resources": [...]}'))
    if _depth(found, _DEEPEST) < 0:
        raise Unreadable(_fault("nested too deep", "", f"at most {_DEEPEST} levels"))
    if half := SURROGATE.search(json.dumps(found, ensure_ascii=False)):
        given = f"half a character, \\u{ord(half.group()):04x}"
        raise Unreadable(_fault("not text", given, "whole characters", "write the character itself"))
    return found


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        raise ValueError(f"the name {next(name for name in names if names.count(name) > 1)!r} twice in one object")
    return found


def _no_constant(name: str) -> Any:
    raise ValueError(f"{name}, which is no JSON")


def _depth(value: Any, left: int) -> int:
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return min((_depth(item, left - 1) for item in inside), default=left) if left >= 0 else left


def _fault(kind: str, given: str = "", expected: str = "", suggestion: str = "", line: int | None = None) -> PackFault:
    return PackFault(kind, DESCRIPTOR, line, None, None, given, expected, suggestion)


def listed_files(descriptor: About, faults: FaultList) -> dict[str, str]:
    """Which file each table lies in, by a descriptor; everything wrong with it goes to `faults`.

    Returns
    -------
    dict
        Table name -> path inside the pack, for each resource that can be read.
    """
    profile = descriptor.get("profile", PROFILE)
    if profile not in _PROFILES:
        faults.add(_fault("another kind of package", quoted(profile), f'"profile": "{PROFILE}"'))
    resources = descriptor.get("resources")
    if not isinstance(resources, list) or not resources:
        faults.add(_fault("no resources", quoted(resources), "a list of the pack's tables under resources"))
        return {}
    found: dict[str, str] = {}
    for number, resource in enumerate(resources, 1):
        problems = list(_resource_faults(resource, number, found))
        for problem in problems:
            faults.add(problem)
        if not problems:
            found[resource["name"]] = _path(resource)
    return found


def mentioned(descriptor: About) -> list[Any]:
    """Every path that a descriptor names, fit or not."""
    resources = descriptor.get("resources")
    return [_path(r) for r in resources if isinstance(r, dict)] if isinstance(resources, list) else []


def _path(resource: About) -> Any:
    path = resource.get("path")
    return path[0] if isinstance(path, list) and len(path) == 1 else path


def _resource_faults(resource: Any, number: int, before: dict[str, str]) -> Iterator[PackFault]:
    if not isinstance(resource, dict):
        yield _fault("a resource that is none", quoted(resource), f"an object as resource {number}")
        return
    name, path = resource.get("name"), _path(resource)
    if not isinstance(name, str) or not isinstance(path, str):
        want = 'a name and one path, as in {"name": "makers", "path": "makers.csv"}'
        yield _fault("a resource without a name or path", f"resource {number}", want)
        return
    if name in before or path in before.values():
        yield _fault("a table listed twice", quoted(name), "each table and file once")
    if outside := why_outside(path):
        want = f"a path inside the pack ({outside})"
        yield _fault("outside the pack", quoted(path), want, f"put the file into the pack and name it {name}.csv")
    if name not in TABLES:
        yield _fault("an unknown table", quoted(name), "a table of a pack", did_you_mean(name, TABLES))
    else:
        yield from _format_faults(resource, name)
        yield from _schema_faults(resource.get("schema", {}), TABLES[name])


def _format_faults(resource: About, name: str) -> Iterator[PackFault]:
    if resource.get("profile", TABLE_PROFILE) not in _TABLE_PROFILES:
        yield _fault("another kind of table", f"{name}: {quoted(resource['profile'])}", f'"profile": "{TABLE_PROFILE}"')
    if str(resource.get("encoding", "utf-8")).lower() not in ("utf-8", "utf8", "ascii", "us-ascii"):
        given = f"{name}: encoding {quoted(resource['encoding'])}"
        yield _fault("not UTF-8", given, "utf-8", "save the file as UTF-8 and say so")
    dialect = resource.get("dialect", {})
    if not isinstance(dialect, dict):
        yield _fault("a dialect that is none", f"{name}: {quoted(dialect)}", "an object, or no dialect")
        return
    for key, value in dialect.items():
        if key in _DIALECT and _DIALECT[key] not in (None, value):
            yield _fault("another CSV dialect", f"{name}: {key} {quoted(value)}", f"{key} {_DIALECT[key]!r}")


def _schema_faults(schema: Any, spec: TableSpec) -> Iterator[PackFault]:
    fields = schema.get("fields", []) if isinstance(schema, dict) else None
    if not isinstance(fields, list) or not all(isinstance(f, dict) and isinstance(f.get("name"), str) for f in fields):
        yield _fault("a schema that is none", f"{spec.name}: {quoted(schema)}", "an object with a list of fields")
        return
    if schema.get("missingValues", [""]) != [""]:
        given = f"{spec.name}: missingValues {quoted(schema['missingValues'])}"
        yield _fault("another sign for missing", given, 'missingValues [""]', "leave such cells empty")
    types = {column.name: TYPES[column.type] for column in spec.columns}
    for field in fields:
        if field["name"] not in types:
            hint = did_you_mean(field["name"], types)
            yield _fault("an unknown column", f"{spec.name}: {quoted(field['name'])}", f"a column of {spec.name}", hint)
        elif field.get("type", types[field["name"]]) != types[field["name"]]:
            given = f"{spec.name}.{field['name']}: {quoted(field['type'])}"
            yield _fault("another type", given, f"{types[field['name']]}")
