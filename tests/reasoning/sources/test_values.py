"""Which values can be true together."""

import pytest

from footring.reasoning.sources.values import narrowest, supports


@pytest.mark.parametrize(
    ("true", "claimed", "right"),
    [
        ("1934", "[1934..1936]", True),
        ("[1934..1936]", "1934", False),
        ("1937", "1936~", True),
        ("1938", "1936~", False),
        ("1934-03", "1934", True),
        ("1930", "[..1936]", True),
        ("[..1940]", "[..1936]", False),
        ("1904/1921", "1904/1922~", True),
        ("1904/1920", "1904/1922~", False),
        ("1904/1922~", "1904/1922", True),
        ("1904/1922", "1904/..", False),
        ("1904/..", "1904/..", True),
        ("1934", "1930/1940", False),
        ("nonsense", "1934", False),
    ],
)
def test_a_date_within_a_vaguer_one(true, claimed, right):
    within = supports([true, claimed], dates=True) if true != claimed else supports([true], dates=True)
    assert within[0, -1] == right


def test_words_support_only_themselves():
    assert supports(["1934", "[1934..1936]", None], dates=False).tolist() == [
        [True, False, False],
        [False, True, False],
        [False, False, True],
    ]


def test_the_narrowest_exclude_one_another():
    values = ["1934", "1936", "[1934..1936]", "1940"]
    assert [values[k] for k in narrowest(supports(values, dates=True))] == ["1934", "1936", "1940"]
