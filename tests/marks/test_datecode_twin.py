"""A slow, obvious twin: write the code of every month by every scheme, and see that decoding gives those months back."""

from collections import defaultdict
from itertools import product

import pytest

from footring.marks.datecodes import builtin_schemes, decode

SCHEMES = [scheme for scheme in builtin_schemes() if not scheme.style]
NUMERALS = dict(zip((1, 4, 5, 9, 10, 40, 50, 90), "I IV V IX X XL L XC".split(), strict=True))


def numeral(n):
    out = ""
    for value in sorted(NUMERALS, reverse=True):
        while n >= value:
            out, n = out + NUMERALS[value], n - value
    return out


def writings(field, month):
    """What a worker would have put down for this field in this month (counted from the year 0)."""
    year, of_year = divmod(month, 12)
    counted = [n for n in range(field.least, field.most + 1) if field.base + n == year]
    if field.gives == "month":
        counted = [of_year + 1]
    if field.gives == "check":
        counted = [field.least]
    written = {
        "says": lambda: [""],
        "literal": lambda: field.text.split("|")[:1],
        "free": lambda: [{"figure": "7", "letter": "H", "capital": "H"}[field.text] * field.widths[0]],
        "token": lambda: tokens(field, month),
        "roman": lambda: [numeral(n) for n in counted if n],
        "count": lambda: [f"{n} {field.sign}" for n in counted],
        "missing": lambda: [f"{n}th {field.sign} missing" for n in counted],
        "position": lambda: [f"letter {n}" for n in places(field, month, counted)],
        "number": lambda: [f"{year % 100:02d}"] if field.gives == "year2" else [str(n) for n in counted],
    }
    found = written[field.kind]()
    return [*found, None] if field.optional else found


def tokens(field, month):
    return [text for text, rows in field.tokens.items() if any(says(row, month) for row in rows)]


def says(token, month):
    in_year = token.dates is None or any(a <= month <= b for a, b in token.dates)
    return (
        in_year and (token.months is None or token.months[0] <= month % 12 + 1 <= token.months[1]) and not token.skipped
    )


def places(field, month, counted):
    return tokens(field, month) if field.tokens else counted


def joined(way, texts):
    out = ""
    for field, text in zip(way, texts, strict=True):
        if text is not None:
            lead = max(field.before, key=len) if out else ""
            out += lead + text + field.after[0]
    return " ".join(out.split()) if out else out


def written_out(scheme):
    """Every code of a scheme with the months in which it was written."""
    codes = defaultdict(set)
    for month in range(scheme.span[0], scheme.span[1] + 1):
        for way in scheme.ways:
            for texts in product(*(writings(field, month) for field in way)):
                codes[joined(way, texts)].add(month)
    return codes


def months_of(edtf):
    first, _, last = edtf.strip("[]").partition("..")
    ends = [(first, 1), (last or first, 12)]
    a, b = (int(t[:4]) * 12 + (int(t[5:]) if len(t) > 4 else month) - 1 for t, month in ends)
    return set(range(a, b + 1))


@pytest.mark.parametrize("scheme", SCHEMES, ids=lambda scheme: scheme.id)
def test_decoding_gives_back_the_months_a_code_was_written_in(scheme):
    codes = written_out(scheme)
    assert codes
    for code, months in codes.items():
        found = decode(code, [scheme])
        assert {m for r in found for *_, edtf in r.spans for m in months_of(edtf)} == months, code
        assert [r.problems for r in found] == [()] * len(found), code
