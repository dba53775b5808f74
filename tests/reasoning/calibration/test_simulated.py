"""Folders of a simulated factory, whole and spoilt."""

import csv
import shutil

import numpy as np
import pytest

from footring.reasoning.calibration.simulated import OF_INSIDE, read_simulated
from footring.terms.errors import BadInput


def rows(path):
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.fixture
def spoilt(folder, tmp_path):
    """A copy to spoil: `spoilt(name, change)` writes what `change` makes of the text of a file."""
    out = tmp_path / "world"
    shutil.copytree(folder, out)

    def change(name, of):
        (out / name).write_text(of((out / name).read_text("utf-8")), encoding="utf-8")
        return out

    return change


def test_everything_read_is_what_stands_in_the_files(folder, world):
    pieces, truth, chosen = (rows(folder / f"{name}.csv") for name in ("pieces", "truth", "selected_truth"))
    assert len(world) == len(pieces) + len(chosen) == 36
    assert world.selected.tolist() == [False] * 30 + [True] * 6
    assert world.outside.tolist() == [row["outside"] == "1" for row in truth + chosen]
    assert world.unrecorded.tolist() == [row["unrecorded"] == "1" for row in truth + chosen]
    assert world.truth["form_id"] == tuple(row["form_id"] for row in truth + chosen)
    for row, readings in zip(pieces, world.readings, strict=False):
        looked_at = [name for name, value in row.items() if value and name != "id" and not name.startswith("lid.")]
        assert len(readings) == len(looked_at) and all(reading.part is None for reading in readings)


def test_the_oracle_stands_beside_its_piece_and_was_not_asked_of_selected_ones(folder, world):
    for row in rows(folder / "oracle.csv"):
        of, i = world.oracle[row["attribute"]], int(row["id"].removeprefix("t"))
        assert of.log_p[i] == float(row["log_p"]) and (row["p"] == "" or of.p[i] == float(row["p"]))
    assert all(np.isnan(world.oracle[name].log_p[world.selected | world.outside]).all() for name in OF_INSIDE)
    assert not any(np.isnan(world.oracle[name].log_p[~world.selected & ~world.outside]).any() for name in OF_INSIDE)


def test_some_of_the_pieces(world):
    few = world.only(~world.selected & world.unrecorded)
    assert len(few) == len(few.truth["id"]) == (world.unrecorded & ~world.selected).sum() > 0
    assert few.unrecorded.all() and not few.selected.any()
    assert np.array_equal(few.oracle["unrecorded"].p, world.oracle["unrecorded"].p[~world.selected & world.unrecorded])
    assert world.only(world.selected).oracle == {}


def test_only_the_first_pieces_of_each_set(folder, world):
    few = read_simulated(folder, most=4)
    assert len(few) == 8 and few.selected.sum() == 4
    assert few.readings == [*world.readings[:4], *world.readings[30:34]]


@pytest.mark.parametrize("gone", [("oracle.csv",), ("selected.csv", "selected_truth.csv")])
def test_what_may_be_left_out(gone, folder, tmp_path):
    out = tmp_path / "world"
    shutil.copytree(folder, out, ignore=shutil.ignore_patterns(*gone))
    found = read_simulated(out)
    assert (found.oracle == {}) == ("oracle.csv" in gone)
    assert found.selected.any() == ("oracle.csv" in gone)


def test_so_few_pieces_that_none_were_selected(spoilt):
    out = spoilt("selected.csv", lambda _: "")
    assert not read_simulated(out).selected.any()


def without(column):
    def change(text):
        table = list(csv.reader(text.splitlines()))
        at = table[0].index(column)
        return "\n".join(",".join(f'"{cell}"' for k, cell in enumerate(row) if k != at) for row in table)

    return change


def setting(column, value):
    def change(text):
        table = list(csv.reader(text.splitlines()))
        table[2][table[0].index(column)] = value
        return "\n".join(",".join(f'"{cell}"' for cell in row) for row in table)

    return change


def first_lines(many):
    return lambda text: "".join(text.splitlines(keepends=True)[:many])


SPOILT = [
    ("pieces.csv", lambda _: "", r"pieces\.csv: expected rows with the column id"),
    ("pieces.csv", first_lines(1), r"pieces\.csv: expected rows with the column id"),
    ("pieces.csv", without("id"), r"pieces\.csv: expected rows with the column id"),
    ("pieces.csv", lambda text: text + "t30\n", r"pieces\.csv, row 32: expected as many cells as in the heading"),
    ("pieces.csv", lambda text: text.replace("\nt3,", "\nt3,more,"), r"pieces\.csv, row 5: expected as many cells"),
    ("pieces.csv", lambda text: text.replace("across", "wide"), r"pieces\.csv, t\d+: .*wide"),
    ("pieces.csv", lambda text: text + '"', r"pieces\.csv cannot be read as CSV: "),
    ("truth.csv", first_lines(29), r"truth\.csv: expected a row for each piece of pieces\.csv, given none for t28 and 1 more$"),
    ("truth.csv", first_lines(30), r"truth\.csv: expected a row for each piece of pieces\.csv, given none for t29$"),
    ("truth.csv", lambda _: "", r"truth\.csv: expected rows with the columns id, line_id, form_id"),
    ("truth.csv", without("potted"), r"truth\.csv: expected rows with the column potted"),
    ("truth.csv", setting("potted", "about 1930"), r"truth\.csv, t1: expected a year for potted, given 'about 1930'"),
    ("truth.csv", setting("outside", "yes"), r"truth\.csv, t1: expected 0 or 1 for outside, given 'yes'"),
    ("selected_truth.csv", first_lines(3), r"selected_truth\.csv: expected a row for each piece of selected\.csv, given none for t2 and 3"),
    ("oracle.csv", setting("log_p", "none"), r"oracle\.csv: expected a number, given 'none'"),
    ("oracle.csv", first_lines(5), r"oracle\.csv: expected what the oracle says of every piece, given no \w+ of t\d+"),
    ("oracle.csv", without("p"), r"oracle\.csv: expected rows with the column p"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "change", "text"), SPOILT, ids=[f"{name} {k}" for k, (name, *_) in enumerate(SPOILT)])
def test_what_does_not_fit_is_told_in_one_line(name, change, text, spoilt):
    with pytest.raises(BadInput, match=text) as told:
        read_simulated(spoilt(name, change))
    assert "\n" not in str(told.value)


@pytest.mark.parametrize("name", ["pieces.csv", "truth.csv", "selected_truth.csv"])
def test_a_file_that_is_not_there(name, folder, tmp_path):
    out = tmp_path / "world"
    shutil.copytree(folder, out, ignore=shutil.ignore_patterns(name))
    with pytest.raises(
        BadInput, match=rf"cannot read .*{name}: No such file or directory; expected what footring simulate wrote"
    ):
        read_simulated(out)


def test_bytes_that_are_no_text(spoilt):
    out = spoilt("truth.csv", lambda text: text)
    (out / "truth.csv").write_bytes(b"id\n\xff\xfe\n")
    with pytest.raises(BadInput, match=r"truth\.csv cannot be read as CSV"):
        read_simulated(out)
