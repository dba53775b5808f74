import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.terms.errors import BadInput
from footring.terms.units import parse_capacity, parse_length


@pytest.mark.parametrize(
    "text", ["7 1/4 in", '7.25"', "7¼ in", "7-1/4 inches", "7,25 IN", "7 ¼ ″", "7 1⁄4 in", "184.15 mm", "18.415 cm"]
)
def test_lengths_agree(text):
    """1 in = 25.4 mm exactly (international inch, from memory)."""
    length = parse_length(text)
    assert (length.mm, length.sd_mm, length.given) == (184.15, None, text)


@pytest.mark.parametrize(
    ("text", "mm", "sd_mm"),
    [
        ("184 mm ±2", 184, 2),
        ("184 mm +-2", 184, 2),
        ("184 mm +/- 2 mm", 184, 2),
        ("184 ± 2 mm", 184, 2),
        ("18.4 cm ± .2", 184, 2),
        ("10 in ± 1/16", 254, 1.5875),
        ("1/2 in", 12.7, None),
    ],
)
def test_uncertainty_is_in_the_values_unit(text, mm, sd_mm):
    length = parse_length(text)
    assert (length.mm, length.sd_mm) == (mm, sd_mm)


@pytest.mark.parametrize(
    ("text", "ml"),
    [
        ("1 imp pt", 568.26125),
        ("1 us pt", 473.176473),
        ("1 imp fl oz", 28.4130625),
        ("1 US fl oz", 29.5735295625),
        ("1 imp qt", 2 * 568.26125),
        ("1 us quart", 2 * 473.176473),
        ("25 cl", 250),
        ("0.25 l", 250),
    ],
)
def test_capacities(text, ml):
    """Exact definitions of the imperial gallon (4.54609 l) and the US liquid gallon (231 cubic inches), from memory."""
    assert parse_capacity(text).ml == pytest.approx(ml, rel=1e-15)


def test_gallons():
    assert 8 * parse_capacity("1 imp pt").ml == 160 * parse_capacity("1 imp fl oz").ml == 4546.09
    assert 128 * parse_capacity("1 us fl oz").ml == pytest.approx(231 * 2.54**3, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("184", "length '184': it has no unit; write 7 1/4 in, 184 mm or 18.4 cm"),
        ("", "there is nothing to read"),
        ("big", "not a number with a unit"),
        ("-5 mm", "are more than nothing"),
        ("0 mm", "are more than nothing"),
        ("184 mm ± 0", "are more than nothing"),
        ("2001 mm", "over 2000 mm; check the figure and its unit"),
        ("79 in", "over 2000 mm"),
        ("18 mm ± 20", "the uncertainty is larger than the value"),
        ("184 mm ± 1 cm", "the uncertainty is in another unit than the value; give both in one unit"),
        ("3 ft", "'ft' is not a unit of length"),
        ("250 ml", "'ml' is not a unit of length"),
        ("36s", "a trade size is a name, not a measurement"),
        ("1,234 mm", "a comma before three figures can be read two ways"),
        ("1/0 in", "nothing can be divided by 0; check the fraction"),
        ("5 - 6 in", "not a number with a unit"),
        ("1e3 mm", "not a unit of length|not a number with a unit"),
        ("1" * 61, "not a text of at most 60 characters"),
    ],
)
def test_bad_lengths(text, why):
    with pytest.raises(BadInput, match=why):
        parse_length(text)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1 pt", "pt differs between countries; write imp pt or us pt"),
        ("1 pint", "pint differs between countries; write imp pint or us pint"),
        ("8 fl oz", "fl oz differs between countries; write imp fl oz or us fl oz"),
        ("300 l", "over 200000 ml"),
        ("10 mm", "'mm' is not a unit of capacity"),
    ],
)
def test_bad_capacities(text, why):
    with pytest.raises(BadInput, match=why):
        parse_capacity(text)


def test_what_is_advised_can_be_read():
    with pytest.raises(BadInput, match="write imp pint or us pint") as caught:
        parse_capacity("2 pint")
    for unit in re.findall("(?:imp|us) pint", str(caught.value)):
        assert parse_capacity(f"2 {unit}").ml > 900


@given(st.integers(1, 1999), st.integers(0, 99))
def test_decimals_round_trip(whole, hundredths):
    assert parse_length(f"{whole}.{hundredths:02d} mm").mm == float(f"{whole}.{hundredths:02d}")


@settings(max_examples=2000, deadline=1000)
@given(st.one_of(st.text(max_size=70), st.text("0123456789./, -+±¼½incms\"'", max_size=30)))
def test_any_text_is_read_or_refused(text):
    for read, what in ((parse_length, "length "), (parse_capacity, "capacity ")):
        try:
            read(text)
        except BadInput as error:
            assert str(error).startswith(what)
