"""Readings laid out as columns; what each becomes is written down by hand."""

import numpy as np
import pytest

from footring.marks.readings import read_reading
from footring.reasoning.calibration.features import LAB, Lookups, columns_of, features, number_column, word_column
from footring.reasoning.calibration.likeness import nearest_text
from tests.reasoning.calibration.pottery import read, reference


@pytest.mark.parametrize(
    ("given", "columns"),
    [
        ({"line": "  ormsley "}, {"line": "l0"}),
        ({"line": "Heronry"}, {"line": "heronry"}),  # a name that nobody has stays what it is
        ({"decoration": "The Heron"}, {"decoration": "d1"}),  # another name of it
        ({"glaze": "Sedge"}, {"glaze": "g2"}),  # its own name goes before a misnomer of another
        ({"form": "covered dish"}, {"form": "covered dish"}),
        ({"decoration": "none"}, {"decoration": "none"}),
        ({"mark": "ORMSL?Y / OSSEL"}, {"mark": "k0"}),
        ({"mark": "ZZ"}, {"mark": "like none"}),
        ({"mark_2": "WHERRY"}, {"mark.2": "k1"}),
        ({"number": "417"}, {"number": "417", "number stands for": "d1 d2"}),
        ({"number": "9 m"}, {"number": "9 m", "number stands for": "d1"}),
        ({"numeral": "5"}, {"numeral": "5", "numeral stands for": "nothing known"}),
        ({"feature": "Rim: a  Ledge inside"}, {"feature rim": "a ledge inside"}),
        ({"capacity": "500 ml"}, {"capacity": 500.0}),
        ({"height": "somewhat tall"}, {}),  # no length, so as if not measured
        ({"line": ""}, {}),
    ],
)
def test_what_a_reading_becomes(given, columns):
    assert read(**given) == columns


def test_lengths_are_in_millimetres():
    assert read(across="10 in") == {"across": pytest.approx(254.0)}  # an inch is 25.4 mm


def test_a_colour_is_itself_and_the_nearest_glaze_that_was_measured():
    assert read(glaze="Lab(62,-18,9)") == {"glaze": "g0", LAB[0]: 62.0, LAB[1]: -18.0, LAB[2]: 9.0}
    assert read(glaze="Lab(88,1,4)")["glaze"] == "g1"


def test_a_part_and_a_second_reading_have_columns_of_their_own():
    given = [
        read_reading("form", "Ormsley plate"),
        read_reading("lid.form", "none"),
        read_reading("mark", "WHERRY WARE"),
    ]
    assert features(given, Lookups(reference())) == {"form": "f1", "lid.form": "none", "mark": "k1"}


def test_columns_of_words_and_numbers_and_what_was_not_looked_at():
    rows = [read(line="Ormsley", across="20 cm"), read(line="none"), read(across="100 mm")]
    assert columns_of(rows) == (["line"], ["across"])
    assert word_column(rows, "line").tolist() == ["l0", "none", "not looked at"]
    assert np.array_equal(number_column(rows, "across"), [200.0, np.nan, 100.0], equal_nan=True)


def test_likeness_is_twice_the_shared_pairs_of_letters():
    """Dice 1945: "night" and "nacht" share 1 pair of 8, 0.25: too little to be called alike; "light" shares 3 of 4."""
    assert nearest_text("night", {"a": "nacht"}) is None
    assert nearest_text("night", {"a": "nacht", "b": "light", "c": "light"}) == "b"
    assert nearest_text("", {"a": "nacht"}) is None
