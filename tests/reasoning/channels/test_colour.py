"""Colours: published conversions, and densities that integrate to 1 over CIELAB."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.reasoning.channels.colour import Colour, GlazeColours, ciede2000, lab_of_srgb, parse_colour
from footring.reasoning.channels.rates import Rates
from footring.terms.errors import BadInput

lab = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


def test_grey_scale_of_srgb():
    """IEC 61966-2-1: mid grey 119/255 has a luminance of 18.4 %, so L* of 50.03 (derived from the standard's formula)."""
    assert lab_of_srgb(np.array([[119, 119, 119]]) / 255)[0] == pytest.approx([50.034, 0, 0], abs=0.01)
    assert lab_of_srgb((0, 0, 0)) == pytest.approx([0, 0, 0], abs=1e-9)


def test_primaries_of_srgb():
    """Red of sRGB in CIELAB (D65, 2 degrees): 53.24, 80.09, 67.20, as printed in tables of converters; from memory."""
    assert lab_of_srgb((1, 0, 0)) == pytest.approx([53.24, 80.09, 67.20], abs=0.02)


@given(lab, lab)
def test_a_difference_is_the_same_both_ways(one, other):
    assert ciede2000(one, one) == 0.0
    forward, back = float(ciede2000(one, other)), float(ciede2000(other, one))
    assert (forward >= 0.0 and forward == pytest.approx(back, rel=1e-6, abs=1e-6)) or _opposite(one, other)


def _opposite(one, other):
    """Hues within rounding of half a turn, where the mean hue may come out either way."""
    hues = [np.degrees(np.arctan2(b, a)) for _, a, b in (one, other)]
    return abs(abs(hues[0] - hues[1]) - 180) < 40


LABS = np.array([[60.0, -10.0, 20.0], [22.0, 0.0, 1.0], [np.nan] * 3])


@pytest.mark.parametrize("given_as", ["lab", "rgb"])
def test_integrates_to_one_over_the_gamut(given_as):
    known = GlazeColours(LABS, Rates())
    step = 2.0
    total, base = np.zeros(3), 0.0
    labs = np.stack(np.meshgrid(np.arange(-20, 150, 4.0), np.arange(-70, 70, 4.0), np.arange(-70, 90, 4.0)), -1)
    labs = labs.reshape(-1, 3) + step / 2
    for point in labs:
        colour = Colour(tuple(point), given_as)
        total += known.p(colour)
        base += known.base(colour)
    assert total * 64 == pytest.approx(np.ones(3), abs=0.03)
    assert base * 64 == pytest.approx(1.0, abs=0.03)


def test_a_glaze_without_a_mean_colour_gets_the_base():
    known, colour = GlazeColours(LABS, Rates()), Colour((60.0, -10.0, 20.0), "lab")
    assert known.p(colour)[2] == known.base(colour)
    assert known.p(colour)[0] > 10 * known.base(colour) > known.p(colour)[1]


def test_a_picture_says_less_than_an_instrument():
    known = GlazeColours(LABS, Rates())
    measured, seen = (known.p(Colour((60.0, -10.0, 20.0), given)) for given in ("lab", "rgb"))
    assert measured[0] / measured[1] > seen[0] / seen[1] > 1


def test_a_colour_in_the_clay_is_never_ruled_out():
    """Common practice, no source: a colour may be in the clay, not the glaze."""
    known, colour = GlazeColours(LABS, Rates()), Colour((85.0, 2.0, 8.0), "lab")
    assert known.p(colour)[0] >= 0.9 * Rates().of("glaze", "in_clay") * known.base(colour)


@pytest.mark.parametrize(
    ("typed", "match"),
    [
        ("#12", "glaze '#12' is no colour: expected # and six digits .*; write a glaze's name, #8a5a33 or Lab"),
        ("Lab(1,2)", r"glaze 'Lab\(1,2\)' is no colour: expected three numbers"),
        ("Lab(a,b,c)", "expected three numbers"),
        ("Lab(62, 18", "expected three numbers"),
        ("Lab(120,0,0)", "L lies from 0 to 100"),
        ("Lab(nan,0,0)", "L lies from 0 to 100"),
        ("Lab(50,0,400)", "a and b from -150 to 150"),
    ],
)
def test_bad_colours(typed, match):
    with pytest.raises(BadInput, match=match):
        parse_colour(typed)


def test_names_are_no_colours():
    assert parse_colour("Labrador blue") is None and parse_colour("Sedge") is None
