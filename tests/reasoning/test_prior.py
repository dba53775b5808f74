"""The prior is a table anyone can replace."""

import numpy as np
import pytest

from footring.reasoning.prior import default_prior, read_prior
from footring.terms.errors import BadInput

YEARS = np.arange(1780, 2011)


def written(tmp_path, text):
    path = tmp_path / "prior.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_straight_between_knots_and_level_outside(tmp_path):
    prior = read_prior(written(tmp_path, "country,year,height\n,1900,1\n,1910,3\nJapan,1950,1\n"))
    density = prior.density(YEARS)
    assert density.sum() == pytest.approx(1)
    assert density[125] / density[120] == pytest.approx(2)
    assert density[0] == density[120]
    assert np.ptp(prior.density(YEARS, "JAPAN")) < 1e-15


def test_digest_follows_the_knots_and_not_their_order(tmp_path):
    one = read_prior(written(tmp_path, "country,year,height\n,1900,1\n,1910,3\n")).digest
    two = read_prior(written(tmp_path, "country,year,height\n,1910,3\n,1900,1\n")).digest
    three = read_prior(written(tmp_path, "country,year,height\n,1910,2\n,1900,1\n")).digest
    assert one == two != three
    assert default_prior().digest not in (one, three)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("year,height\n1900,1\n", "expected the columns country, year"),
        ("country,year,height\n,about 1900,1\n", "line 2: expected the columns country, year"),
        ("country,year,height\n,1900,0\n", "a height above 0"),
        ("country,year,height\n,1900,nan\n", "a height above 0"),
        ("country,year,height\nJapan,1900,1\n", "at least one row with an empty country"),
        ("", "at least one row with an empty country"),
    ],
)
def test_faults_are_named(tmp_path, text, message):
    with pytest.raises(BadInput, match=message):
        read_prior(written(tmp_path, text))


def test_a_missing_file_is_one_clear_sentence(tmp_path):
    with pytest.raises(BadInput, match="cannot read the prior"):
        read_prior(tmp_path / "nothing.csv")
