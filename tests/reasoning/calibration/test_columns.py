"""Columns as whole numbers."""

import numpy as np

from footring.reasoning.calibration.columns import MOST_KINDS, lay_out

ROWS = [{"line": "a", "across": 10.0}, {"line": "b", "across": 20.0}, {"line": "b"}, {"trim": "x", "across": 30.0}]


def test_the_commonest_word_is_number_one_and_not_looked_at_is_a_word():
    columns = lay_out(ROWS)
    assert [name for name, _ in columns.words] == ["line", "trim"]
    assert columns.words[0][1] == {"b": 1, "a": 2, "not looked at": 3}  # of equals the first in the alphabet
    assert columns.codes(ROWS).tolist() == [[2, 1], [1, 1], [1, 1], [3, 2]]


def test_a_word_none_of_them_had_is_nought():
    assert lay_out(ROWS).codes([{"line": "never met", "trim": "x"}, {}]).tolist() == [[0, 2], [3, 1]]


def test_measurements_are_binned_by_the_shares_of_those_taken():
    values = [float(k) for k in range(1, 121)]
    columns = lay_out([{"across": value} for value in values])
    ((_, edges),) = columns.numbers
    assert np.allclose(edges, np.quantile(values, np.arange(1, 12) / 12))  # numpy's quantiles (reference library)
    coded = columns.categories([{"across": 0.0}, {"across": 500.0}, {"across": 60.0}, {}])[:, 0]
    assert coded.tolist() == [1, 12, 6, 0]
    assert np.bincount(columns.categories([{"across": v} for v in values])[:, 0]).tolist() == [0, *[10] * 12]


def test_every_number_fits_the_kinds_told():
    columns = lay_out(ROWS)
    for rows in (ROWS, [{}, {"line": "?", "trim": "?", "across": -1e9}, {"across": 1e9}]):
        assert (columns.categories(rows) < columns.kinds).all()
        assert columns.measurements(rows).shape == (len(rows), 1)


def test_only_the_commonest_words_have_a_number():
    columns = lay_out([{"mark": f"w{i}"} for i in range(MOST_KINDS + 5) for _ in range(1 + (i >= 5))])
    assert len(columns.words[0][1]) == MOST_KINDS
    assert columns.codes([{"mark": "w0"}, {"mark": "w9"}])[:, 0].tolist()[0] == 0


def test_no_pieces_have_no_columns():
    assert lay_out([]).codes([{}]).shape == (1, 0)
