"""Measurements: densities that integrate to 1, spreads, and names that are not converted."""

import numpy as np
import pytest
from scipy import stats

from footring.reasoning.channels.rates import Rates
from footring.reasoning.channels.sizes import Measures, inches, parse_measure
from footring.terms.errors import BadInput

NOT = np.nan
IDS = ["s.0", "s.1", "s.2", "s.3"]


def measures(rates=None, reading="across"):
    recorded, form = np.array([215.0, 62.0, NOT, NOT]), np.array([0, 1, 1, -1], np.int32)
    return Measures(reading, recorded, form, IDS, np.array([8.0, NOT, 7.0, NOT]), rates or Rates())


def integral(p, least=0.01, most=20_000.0, steps=120_001):
    at = np.geomspace(least, most, steps)
    values = np.array([p(x) for x in at])
    return np.trapezoid(values, at, axis=0)


@pytest.mark.parametrize("reading", ["across", "height", "capacity"])
@pytest.mark.parametrize("given", [None, 0.4])
def test_integrates_to_one(reading, given):
    known = measures(reading=reading)
    at = np.geomspace(0.02, 60_000, 40_001)
    spread = 0.4 if given else None
    rows = np.array([known.p(x, spread if reading != "capacity" else spread and 4.0) for x in at])
    if reading == "capacity" and given is None:
        # the instrument's uncertainty follows what was read, not what stands there: nearly one
        assert np.trapezoid(rows, at, axis=0) == pytest.approx(np.ones(4), abs=0.02)
    else:
        assert np.trapezoid(rows, at, axis=0) == pytest.approx(np.ones(4), abs=2e-3)
    assert np.trapezoid([known.base(x) for x in at], at) == pytest.approx(1.0, abs=2e-3)


def test_students_t_of_scipy():
    rates = Rates()
    scale = np.hypot(rates.of("across", "instrument"), 0.012 * 215)
    wrong = rates.of("across", "misread")
    for x in (190.0, 214.0, 215.0, 230.0):
        near = stats.t.pdf(x, rates.of("size", "freedom"), loc=215, scale=scale)
        assert measures().p(x, None)[0] == pytest.approx((1 - wrong) * near + wrong * measures().base(x), rel=1e-9)


def test_base_is_the_log_normal_of_scipy():
    rates = Rates()
    expected = stats.lognorm.pdf(180.0, rates.of("across", "log_sd"), scale=np.exp(rates.of("across", "log_mean")))
    assert measures().base(180.0) == pytest.approx(expected, rel=1e-12)


def test_a_size_without_a_measurement_says_nothing():
    assert measures().p(180.0, None)[2:] == pytest.approx([measures().base(180.0)] * 2)


def counted(n, spread):
    """Pieces measured of s.0, scattering by so much of the size about 1 % over it."""
    return {"s.0": {"n": float(n), "sum": n * 0.01, "squares": n * 0.01**2 + (n - 1) * spread**2}}


def test_five_measured_pieces_replace_the_usual_spread():
    four, five = (measures(Rates(measured={"across": counted(n, 0.04)})) for n in (4, 5))
    usual, _, _ = four._expected, None, None
    assert np.sqrt(usual[1][0]) == pytest.approx(0.012 * usual[0][0])
    middle, square, _ = five._expected
    read = 1.0 / 215
    own, keep = 0.04**2 - read**2, Rates().of("size", "keep_spread")
    assert np.sqrt(square[0]) / middle[0] == pytest.approx(np.sqrt((4 * own + keep * 0.012**2) / (4 + keep)), rel=1e-6)
    assert middle[0] == pytest.approx(215 * (1 + 0.05 / 9))


def test_small_cups_of_one_mould_vary_visibly():
    """Common practice, no source: cups of one mould 4 % apart are one size, once some have been measured."""
    cups = {"s.1": {"n": 12.0, "sum": 0.0, "squares": 11 * 0.04**2}}
    before, after = measures(), measures(Rates(measured={"across": cups}))
    assert after.p(62 * 1.06, None)[1] > 2 * before.p(62 * 1.06, None)[1]


def test_trade_sizes_are_never_converted_until_their_offset_is_learned():
    assert measures().p(190.0, None)[2] == measures().p(190.0, None)[3]
    learned = measures(Rates({"trade_size": {"offset_mean": 0.06, "offset_sd": 0.02, "offset_n": 5.0}}))
    near, far = (learned.p(x, None)[2] for x in (7 * 25.4 * np.exp(0.06), 240.0))
    assert near > 20 * far
    assert learned.p(190.0, None)[3] == learned.base(190.0)


def test_parsing():
    assert parse_measure("height", "4 in") == (101.6, None)
    assert inches('7 1/2"') == 7.5 and inches("36s") is None and inches("8") is None and inches(None) is None
    with pytest.raises(BadInput, match=r"across: length 'big': not a number with a unit; write 7 1/4 in"):
        parse_measure("across", "big")
    with pytest.raises(BadInput, match=r"capacity: capacity '1 pt': .*imp pt"):
        parse_measure("capacity", "1 pt")
