"""The prior of outside: Good's share of what turned up once, by outings; against a slow twin and published coverages."""

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.reasoning.outside_fit import LOTS, fit_outside
from footring.reasoning.parameters import default_parameters
from footring.reference import compile_reference
from footring.rows.collection import Attribution, Channel, Encounter, Outing, Piece
from footring.rows.collection import Reading as PieceReading
from footring.rows.reference_things import Line, Maker
from footring.rows.statements import Production

START = default_parameters()
UNSETTLED = START.rates.of("unsettled", "outside")
PUBLISHED = Path(__file__).parents[1] / "published" / "die_coverage.csv"
with PUBLISHED.open(encoding="utf-8", newline="") as text:
    DIES = list(csv.DictReader(text))


def world(pieces, documented=(), lines=6):
    """Pieces as (line or None, outing or None, way met): "fair" and "eye" are outings, "lot" and "shelf" channels."""
    met = [(i, line, outing, way) for i, (line, outing, way) in enumerate(pieces)]
    outings = sorted({(outing, way) for _, _, outing, way in met if outing is not None})
    rows = {
        "makers": [Maker("m", name="Quillow & Tarn Works")],
        "lines": [Line(f"l{i}", maker="m", name=f"Line {i}") for i in range(lines)],
        "channels": [Channel("lot", name="bulk lots", selected=False), Channel("shelf", name="shelves", selected=True)],
        "outings": [
            Outing(f"o{n}.{way}", channel="shelf" if way == "eye" else None,
                   logged="everything" if way == "fair" else "caught_eye")
            for n, way in outings
        ],
        "pieces": [Piece(f"x{i}") for i, *_ in met],
        "encounters": [
            Encounter(f"e{i}", piece=f"x{i}", outing=None if outing is None else f"o{outing}.{way}",
                      channel=way if way in ("lot", "shelf") else None)
            for i, _, outing, way in met
        ],
        "attributions": [
            Attribution(f"a{i}", piece=f"x{i}", line=f"l{line}", weight=1.0, basis="confirmed")
            for i, line, *_ in met if line is not None
        ],
        "readings": [PieceReading(f"r{i}", piece=f"x{i}", name="form", value="bowl")
                     for i, line, *_ in met if line is None],
        "productions": [Production(f"p{line}", line=f"l{line}", made="1930/1940") for line in documented],
    }  # fmt: skip
    return compile_reference(rows)


def twin(pieces, documented=()):
    """Outing by outing, each line looked for everywhere else."""

    def lot(i):
        _, outing, way = pieces[i]
        if way not in ("fair", "lot"):
            return None
        return ("alone", i) if outing is None else (outing, way)

    def first(i):
        elsewhere = [
            j for j, piece in enumerate(pieces) if piece[0] == pieces[i][0] and (lot(j) is None or lot(j) != lot(i))
        ]
        return not elsewhere and pieces[i][0] not in documented

    lots = {lot(i) for i in range(len(pieces))} - {None}
    shares = []
    for which in lots:
        inside = [i for i in range(len(pieces)) if lot(i) == which]
        shares.append(sum(UNSETTLED if pieces[i][0] is None else first(i) for i in inside) / len(inside))
    return (sum(shares) + LOTS * START.outside) / (len(shares) + LOTS)


ways = st.one_of(
    st.tuples(st.integers(0, 2), st.just("fair")), st.tuples(st.integers(0, 1), st.just("eye")),
    st.tuples(st.one_of(st.none(), st.integers(0, 1)), st.sampled_from(["lot", "shelf"])),
)  # fmt: skip
met = st.lists(st.tuples(st.one_of(st.none(), st.integers(0, 5)), ways).map(lambda of: (of[0], *of[1])), max_size=12)


@settings(deadline=None)
@given(met, st.sets(st.integers(0, 5), max_size=2), st.randoms(use_true_random=False))
def test_as_the_slow_twin_in_any_order(pieces, documented, dice):
    found = fit_outside(world(pieces, documented), START)
    assert found == pytest.approx(twin(pieces, documented), rel=1e-12)
    assert 0.0 < found < 1.0
    mixed = dice.sample(pieces, len(pieces))
    assert fit_outside(world(mixed, documented), START) == found


@pytest.mark.parametrize("row", DIES, ids=lambda row: row["key"])
def test_one_piece_an_outing_is_goods_coverage(row):
    """Dies for lines and coins for pieces, as published."""
    coins, dies, once = (int(row[name]) for name in ("coins", "dies", "once"))
    often = [once + i % (dies - once) for i in range(coins - once)]
    pieces = [(line, None, "lot") for line in [*range(once), *often]]
    found = fit_outside(world(pieces, lines=dies), START)
    new = (found * (coins + LOTS) - LOTS * START.outside) / coins
    assert 100 * (1 - new) == pytest.approx(float(row["coverage_percent"]), abs=float(row["tolerance"]))


def test_what_turned_up_at_one_outing_only_is_new_however_many_pieces_of_it():
    fair = [(line, outing, "fair") for outing, line in ((0, 0), (0, 0), (0, 0), (1, 1), (2, 1))]
    assert fit_outside(world(fair), START) == pytest.approx((1.0 + LOTS * 0.02) / (3 + LOTS))
    assert fit_outside(world(fair, documented=[0]), START) == pytest.approx(LOTS * 0.02 / (3 + LOTS))


def test_nothing_met_leaves_what_was_believed():
    assert fit_outside(world([(0, 0, "eye"), (1, None, "shelf")]), replace(START, outside=0.3)) == pytest.approx(0.3)
