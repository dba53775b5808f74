"""The written datapackage.json against the published texts, property by property.

Read: Tabular Data Package 1.0.0-rc.2, Tabular Data Resource 1.0-rc.2 and Table Schema 1.0.0-rc.2 (the repository
frictionlessdata/datapackage, specs/*.md, as published on specs.frictionlessdata.io), and Data Package and Data Resource 2.0
(content/docs/standard/*.mdx there, as published on datapackage.org). The demo pack was also validated with the reference
implementation (frictionless 5.21.0: valid, 39 tables, no error); it is not among the tools the tests need.
"""

from __future__ import annotations

import json
import re
from importlib.resources import files
from pathlib import Path

import pytest

from footring.packs import check_pack, load_pack
from footring.packs.descriptor import describe, descriptor_text
from footring.rows import TABLES

ALL = describe(TABLES, {"name": "ossel-ford", "profile": "other", "$schema": "other", "resources": []})
SCHEMAS = {resource["name"]: resource["schema"] for resource in ALL["resources"]}
DEMO = Path(str(files("footring.demo").joinpath("pack")))


def test_package() -> None:
    """Tabular Data Package: at least one resource, `profile` is tabular-data-package, each resource a tabular one."""
    assert ALL["profile"] == "tabular-data-package"
    assert len(ALL["resources"]) == len(TABLES)
    assert list(ALL) == ["profile", "name", "resources"]


def test_resources() -> None:
    """Tabular Data Resource: `profile`, `schema`; Data Resource: a unique lower-case `name`, one relative POSIX `path`, and
    `encoding` (UTF-8 without a mark is recommended). Data Resource 2.0 takes this profile for `type` table.
    """
    names = [resource["name"] for resource in ALL["resources"]]
    assert len(set(names)) == len(names)
    for resource in ALL["resources"]:
        assert re.fullmatch(r"[-a-z0-9._]+", resource["name"])
        assert resource["path"] == f"{resource['name']}.csv"
        assert resource["profile"] == "tabular-data-resource"
        assert (resource["encoding"], resource["format"], resource["mediatype"]) == ("utf-8", "csv", "text/csv")
        assert "data" not in resource


def test_fields_are_in_the_order_of_the_file() -> None:
    """Table Schema: `fields` in the order of the file, each with a `name`; the types are among those listed there."""
    for name, spec in TABLES.items():
        fields = SCHEMAS[name]["fields"]
        assert [field["name"] for field in fields] == [column.name for column in spec.columns]
        assert {field["type"] for field in fields} <= {"string", "integer", "number", "boolean"}
        assert SCHEMAS[name]["missingValues"] == [""]


def test_keys() -> None:
    """Table Schema: `primaryKey` names a field; a `foreignKey` has `fields` and `reference` {resource, fields}, the resource
    empty where a table refers to itself.
    """
    for name, schema in SCHEMAS.items():
        own = {field["name"] for field in schema["fields"]}
        assert schema["primaryKey"] == "id"
        for key in schema.get("foreignKeys", []):
            assert set(key) == {"fields", "reference"} and set(key["reference"]) == {"resource", "fields"}
            assert key["fields"] in own
            assert key["reference"]["fields"] == "id"
            assert key["reference"]["resource"] in {*SCHEMAS, ""} - {name}
    numbers = {key["fields"]: key["reference"]["resource"] for key in SCHEMAS["numbers"]["foreignKeys"]}
    assert numbers["line"] == "lines" and numbers["supersedes"] == ""


def test_a_foreign_key_leads_only_to_a_table_that_is_there() -> None:
    lines = describe(["lines"])["resources"][0]["schema"]
    assert "foreignKeys" not in lines


def test_constraints() -> None:
    """Table Schema: `required`, `enum`, `minimum`, `maximum`; booleans with trueValues and falseValues, here the defaults."""
    hands = {field["name"]: field for field in SCHEMAS["hands"]["fields"]}
    assert hands["role"]["constraints"] == {"required": True, "enum": ["made", "decorated", "sold", "mounted"]}
    assert "constraints" not in hands["maker"]
    shares = {field["name"]: field for field in SCHEMAS["attributions"]["fields"]}
    assert shares["weight"]["constraints"] == {"required": True, "minimum": 0.0, "maximum": 1.0}
    private = shares["private"]
    assert set(private["trueValues"]) == {"true", "True", "TRUE", "1"}
    assert set(private["falseValues"]) == {"false", "False", "FALSE", "0"}


def test_it_is_json_and_stays_what_it_was() -> None:
    text = descriptor_text(["makers"], {"title": "Gué", "name": "x"})
    assert json.loads(text) == describe(["makers"], {"title": "Gué", "name": "x"})
    assert "Gué" in text and text.endswith("}\n")
    pack = load_pack(DEMO)
    assert descriptor_text(pack.tables, pack.about) == (DEMO / "datapackage.json").read_text("utf-8")


VERSION_2 = {
    "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
    "resources": [
        {
            "name": "makers",
            "type": "table",
            "path": "data/makers-2.csv",
            "schema": {"fields": [{"name": "id", "type": "string"}, {"name": "name"}], "primaryKey": ["id"]},
        }
    ],
}


def test_version_2_is_read_too(tmp_path) -> None:
    """Data Package 2.0: `$schema` in place of `profile`, `type` table, `primaryKey` a list; files may lie in a folder."""
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "makers-2.csv").write_text("id,name\na,A\n")
    (tmp_path / "datapackage.json").write_text(json.dumps(VERSION_2))
    assert check_pack(tmp_path) == []
    assert load_pack(tmp_path).about["$schema"] == VERSION_2["$schema"]


@pytest.mark.parametrize("path", [["makers.csv"], "makers.csv"])
def test_one_path_may_stand_in_a_list(tmp_path, path) -> None:
    (tmp_path / "makers.csv").write_text("id,name\na,A\n")
    (tmp_path / "datapackage.json").write_text(json.dumps({"resources": [{"name": "makers", "path": path}]}))
    assert check_pack(tmp_path) == []


def test_data_in_the_descriptor_is_refused(tmp_path) -> None:
    (tmp_path / "datapackage.json").write_text(json.dumps({"resources": [{"name": "makers", "data": [["id"], ["a"]]}]}))
    (fault,) = check_pack(tmp_path)
    assert fault.kind == "a resource without a name or path"
