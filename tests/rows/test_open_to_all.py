"""What is private in the reference leaves nothing behind that names it: beside a slow twin, row by row."""

import random
from dataclasses import replace
from pathlib import Path

import pytest

import footring.demo
from footring.packs import load_pack
from footring.reference import compile_reference
from footring.rows import TABLES, RowTable, collection, is_private, open_to_all


@pytest.fixture(scope="module")
def pack():
    return load_pack(Path(footring.demo.__file__).parent / "pack").tables


def hidden(tables, dice, many):
    """The same, with some rows private, those of the collection among them."""

    def some(row):
        return replace(row, private=row.private or dice.random() < many)

    return {name: RowTable.from_rows(rows.spec, map(some, rows.rows())) for name, rows in tables.items()}


def slow_twin(tables):
    """Rows are taken away one by one until none is left that is private or names one which is gone."""
    left = {(name, row.id): row for name, rows in tables.items() for row in rows.rows()}
    there = set(left)
    private = [key for key, row in left.items() if row.private and type(row).__module__ != collection.__name__]
    while private:
        for key in private:
            del left[key]
        private = [key for key, row in left.items() if any(one in there and one not in left for one in named(row))]
    return left


def named(row):
    for column in TABLES[row.TABLE].columns:
        table = getattr(row, column.refers_by) if column.refers_by else column.refers_to
        if table and column.name != "supersedes":
            yield table, getattr(row, column.name)


@pytest.mark.parametrize("seed", range(12))
def test_it_is_what_is_left_when_rows_are_taken_away_one_by_one(pack, seed):
    dice = random.Random(seed)
    tables = hidden(pack, dice, dice.choice([0.005, 0.05, 0.3]))
    left = {(name, row.id): row for name, rows in open_to_all(tables).items() for row in rows.rows()}
    assert left == slow_twin(tables)
    assert not is_private(open_to_all(tables))
    compile_reference(open_to_all(tables))


def test_where_nothing_of_the_reference_is_private_nothing_goes(pack):
    assert not is_private(pack) and open_to_all(pack) == pack
    pieces = {**pack, "pieces": hidden({"pieces": pack["pieces"]}, random.Random(1), 1.0)["pieces"]}
    assert not is_private(pieces) and open_to_all(pieces) == pieces
