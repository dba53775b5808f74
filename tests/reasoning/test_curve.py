"""The curve holds its width, shows the years it draws, and is high where the years are likely."""

import numpy as np
import pytest

from footring.reasoning.curve import BLOCKS, date_curve
from footring.reasoning.date_finding import DateAnswer
from footring.reasoning.intervals import highest_density_set, median_year

YEARS = np.arange(1780, 2011)


def answer(density):
    density = density / density.sum()
    sets = {mass: highest_density_set(YEARS, density, mass / 100) for mass in (50, 80, 90, 95)}
    return DateAnswer(median_year(YEARS, density), sets, (None, None), YEARS, density)


@pytest.mark.parametrize(
    "density",
    [
        np.ones(len(YEARS)),
        (YEARS == 1934).astype(float),
        (YEARS == 1780).astype(float),
        (YEARS == 2010).astype(float),
        np.exp(-0.5 * ((YEARS - 1936) / 4) ** 2),
        np.isin(YEARS, [1860, 1886, 1912]).astype(float),
    ],
)
@pytest.mark.parametrize("plain", [False, True])
def test_every_curve_fits_and_names_a_year(density, plain):
    lines = date_curve(answer(density), 64, plain=plain)
    assert all(len(line) <= 68 for line in lines)
    years = [int(word) for word in lines[-1].split()]
    assert years
    assert all(1780 <= year <= 2010 for year in years)
    if plain:
        assert "".join(lines).isascii()


def test_the_peak_stands_over_its_year():
    lines = date_curve(answer((YEARS == 1936).astype(float)))
    column = lines[0].index(BLOCKS[-1])
    tick = lines[-2].index("┬")
    year = int(lines[-1].split()[0])
    assert year + column - tick == 1936
