"""The files of a simulated world: the same again, their columns, and packs that hold together."""

import csv
import hashlib
from collections import Counter
from dataclasses import replace

import pytest

from footring.demo.parameters import Parameters, random_world, read_world
from footring.demo.simulate import simulate
from footring.demo.ware import draw_world
from footring.packs import check_pack, load_pack
from footring.reference import compile_reference
from footring.terms.errors import BadInput
from tests.simulated.tiny import TINY

SMALL = replace(Parameters(), lines=3, forms_a_line=5, treatments_a_line=20, decorations=60)
FILES = {"cells.csv", "notable.csv", "oracle.csv", "pieces.csv", "sales.csv", "selected.csv", "selected_truth.csv",
         "truth.csv", "world.json"}  # fmt: skip
TRUTH = ("id", "line", "form", "size", "body", "glaze", "decoration", "trim", "number", "mark_in_clay", "mark_printed",
         "form_designed", "pattern_designed", "potted", "decorated", "outside", "unrecorded", "line_id", "form_id",
         "size_id", "body_id", "glaze_id", "decoration_id", "trim_id", "number_id", "mark_in_clay_id",
         "mark_printed_id", "customer", "label", "customer_id", "label_id", "lid_form", "lid_glaze", "married",
         "lid_form_id", "lid_glaze_id")  # fmt: skip
COLUMNS = {
    "truth.csv": TRUTH,
    "selected_truth.csv": TRUTH,
    "oracle.csv": ("id", "attribute", "log_p", "p"),
    "notable.csv": ("id", "why"),
    "sales.csv": ("piece", "date", "channel", "amount", "currency"),
    "cells.csv": ("line", "form", "treatment", "existed", "made", "line_id", "form_id", "body_id", "glaze_id",
                  "decoration_id", "trim_id"),
}  # fmt: skip
READ = {"mark", "mark.2", "mark_kind", "mark_kind.2", "mark_colour", "date_code", "number", "numeral", "maker", "line",
        "form", "feature", "trade_size", "across", "height", "body", "glaze", "effect", "decoration", "technique",
        "placement", "trim", "label", "customer", "channel", "lid.form", "lid.glaze"}  # fmt: skip


def rows(path):
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def digests(folder):
    found = sorted(path for path in folder.rglob("*") if path.is_file())
    return {str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest() for path in found}


@pytest.fixture(scope="module")
def world(tmp_path_factory):
    out = tmp_path_factory.mktemp("small") / "world"
    simulate(SMALL, 3, 800, 600, out)
    return out


def test_the_same_seed_gives_the_same_bytes_and_another_other_pieces_of_the_same_factory(tmp_path):
    for name, seed in (("one", 4), ("again", 4), ("other", 5)):
        simulate(TINY, seed, 60, 30, tmp_path / name)
    one, again, other = (digests(tmp_path / name) for name in ("one", "again", "other"))
    assert one == again
    differ = {name for name in one if one[name] != other[name]}
    assert {"pieces.csv", "truth.csv", "oracle.csv", "pack/readings.csv"} <= differ
    factory = ("forms", "sizes", "glazes", "decorations", "marks", "numbers", "mark_uses", "productions", "claims")
    same = {"cells.csv", "world.json", *(f"pack/{name}.csv" for name in factory)}
    assert same <= one.keys() - differ


def test_files_and_columns(world):
    assert {path.name for path in world.iterdir()} == FILES | {"pack"}
    for name, columns in COLUMNS.items():
        assert tuple(rows(world / name)[0]) == columns, name
    assert {*rows(world / "pieces.csv")[0]} == READ | {"id"}
    assert len(rows(world / "pieces.csv")) == len(rows(world / "truth.csv")) == 600


def test_truths_name_rows_of_the_pack_and_cells_that_were_made(world):
    tables = load_pack(world / "pack").tables
    made = {
        tuple(row[f"{n}_id"] for n in ("line", "form", "body", "glaze", "decoration", "trim"))
        for row in rows(world / "cells.csv")
    }
    known = {"line": "lines", "form": "forms", "size": "sizes", "glaze": "glazes", "decoration": "decorations",
             "mark_printed": "marks", "mark_in_clay": "marks", "customer": "customers", "label": "labels",
             "lid_form": "forms"}  # fmt: skip
    ids = {table: set(tables[table].column("id").tolist()) for table in known.values()}
    for row in rows(world / "truth.csv"):
        for name, table in known.items():
            assert row[f"{name}_id"] in ids[table] or (row[f"{name}_id"] == "" and row[name] in ("", "none"))
        cell = tuple(row[f"{n}_id"] for n in ("line", "form", "body", "glaze", "decoration", "trim"))
        assert (cell in made) != (row["outside"] == "1")


def test_unrecorded_is_what_neither_a_piece_nor_a_document_names(world):
    tables = load_pack(world / "pack").tables
    parts = ("form", "body", "glaze", "decoration", "trim")
    named = set()
    for table in ("attributions", "productions"):
        named |= set(zip(*(tables[table].column(part).tolist() for part in parts), strict=True))
    said = rows(world / "truth.csv")
    for row in said:
        unnamed = row["outside"] == "0" and tuple(row[f"{part}_id"] for part in parts) not in named
        assert row["unrecorded"] == str(int(unnamed))
    assert {row["unrecorded"] for row in said} == {"0", "1"}


def test_what_is_notable_is_so(world):
    truth = {row["id"]: row for row in rows(world / "truth.csv")}
    why = {}
    for row in rows(world / "notable.csv"):
        why.setdefault(row["why"], set()).add(row["id"])
    assert why["from outside"] == {i for i, row in truth.items() if row["outside"] == "1"}
    assert why["an unrecorded combination"] == {i for i, row in truth.items() if row["unrecorded"] == "1"}
    assert why["a married lid"] == {i for i, row in truth.items() if row["married"] == "1"}
    assert why["made for a customer"] == {i for i, row in truth.items() if row["customer_id"]}
    assert why["an older blank"] == {
        i for i, r in truth.items() if r["potted"] and int(r["decorated"]) - int(r["potted"]) >= 5
    }
    forms = draw_world(read_world(str(world / "world.json"))).things.forms
    replaced = {f"qt.f{i}": form.replaced for i, form in enumerate(forms) if form.replaced}
    assert why["from a new mould"] == {
        i for i, row in truth.items() if int(row["potted"] or 0) >= replaced.get(row["form_id"], 9999)
    }
    for i in why["a lid issued in another colour"]:
        assert truth[i]["married"] == "0" and truth[i]["lid_glaze"] != truth[i]["glaze"]


def test_dates_come_in_their_order(world):
    for row in rows(world / "truth.csv"):
        if row["outside"] == "0":
            assert 1904 <= int(row["potted"]) <= int(row["decorated"]) <= 1968
            assert int(row["form_designed"]) <= int(row["decorated"]) >= int(row["pattern_designed"])


def test_oracle_says_something_of_every_piece(world):
    said = Counter(row["attribute"] for row in rows(world / "oracle.csv"))
    outside = sum(row["outside"] == "1" for row in rows(world / "truth.csv"))
    inside = dict.fromkeys(("line", "form", "decoration", "joint"), 600 - outside)
    lids = sum(bool(row["lid.form"] or row["lid.glaze"]) for row in rows(world / "pieces.csv"))
    assert said == inside | {"outside": 600, "unrecorded": 600, "married": lids}
    assert all(
        float(row["log_p"]) <= 0 and (row["p"] == "" or 0 <= float(row["p"]) <= 1) for row in rows(world / "oracle.csv")
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    "given", [TINY, SMALL, Parameters(), *map(random_world, range(1, 5))], ids=lambda p: f"{p.seed}-{p.lines}"
)
def test_every_pack_is_without_fault_and_compiles(given, tmp_path):
    simulate(given, 1, 300, 5, tmp_path / "world")
    assert check_pack(tmp_path / "world" / "pack") == []
    reference = compile_reference(load_pack(tmp_path / "world" / "pack").tables)
    assert len(reference.tables["lines"]) == given.lines


def test_a_world_without_anything_met_or_asked(tmp_path):
    simulate(replace(TINY, customers=0, batches=0, twins=0), 1, 0, 0, tmp_path / "world")
    assert check_pack(tmp_path / "world" / "pack") == []


def test_a_folder_that_holds_something_is_left_alone(tmp_path):
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(BadInput, match=r"is not empty; give a folder that does not exist yet"):
        simulate(TINY, 1, 5, 5, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]
