"""Disagreements: Bayes' rule written out, copies once, absence weak, and a person's word above all."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.packs import load_pack
from footring.reasoning.dawid_skene import dawid_skene
from footring.reasoning.disagreements import disagreements
from footring.reasoning.source_records import learn_sources
from footring.reasoning.sources.priors import FIRMNESS, PIECE, chance_unmet, checks
from footring.reasoning.sources.said import CLAIM_KINDS
from footring.reference import compile_reference
from footring.rows.statements import Claim, Production, Resolution
from tests.house import PACKAGE
from tests.reasoning.source_worlds import DECORATIONS, claim, compiled, copies, frame, piece, planted

SOURCES = (("book", "book"), ("talk", "talk"), ("ledger", "ledger"), ("hand", "piece"))
SAID = st.tuples(
    st.sampled_from(["book", "talk", "ledger"]),
    st.integers(0, 2),
    st.sampled_from(FIRMNESS),
    st.sampled_from(["for", "for", "against"]),
)


def world_of(said, met=()):
    world = frame(numbers=2, sources=SOURCES)
    for source, decoration, firmness, stance in said:
        claim(world, source, 0, decoration, firmness, stance)
    for decoration in met:
        piece(world, 0, decoration)
    return world


def chances(world):
    found = disagreements(compiled(world))
    return {value.value: value.probability for value in found[0].values} if found else {}


def by_hand(world, said, met):
    """Bayes' rule over the values named and something else, one claim a source and value at a time."""
    reference = compiled(world)
    learned = learn_sources(reference)
    values = sorted({f"d.{decoration}" for _, decoration, _, _ in said})
    odds = dict.fromkeys([*values, None], 1.0)
    strongest: dict[tuple[str, int, str], float] = {}
    for source, decoration, firmness, stance in said:
        row = np.array([reference.find("sources", source)])
        p = learned.chance(row, CLAIM_KINDS.index("number"), np.array([FIRMNESS.index(firmness)]))[0]
        strongest[source, decoration, stance] = max(p, strongest.get((source, decoration, stance), 0))
    for (_, decoration, stance), p in strongest.items():
        for value in odds:
            same = value == f"d.{decoration}"
            if stance == "for":
                odds[value] *= p if same else (1 - p) / len(values)
            else:
                odds[value] *= 1 - p if same else p
    check = checks()["value"]
    for value in values:
        right = sum(f"d.{one}" == value for one in met)
        log = check.log_odds(right, len(met) - right)
        odds[value] *= np.exp(np.clip(log, -np.log(1000), np.log(1000)))
    return {value: p / sum(odds.values()) for value, p in odds.items()}


@settings(max_examples=60)
@given(st.lists(SAID, min_size=1, max_size=6), st.lists(st.integers(0, 2), max_size=3))
def test_the_weights_are_bayes_rule(said, met):
    world = world_of(said, met)
    found = disagreements(compiled(world))
    expected = by_hand(world, said, met)
    for one in found:
        assert {value.value: value.probability for value in one.values} == pytest.approx(
            {value: p for value, p in expected.items() if value is not None}, abs=1e-9
        )
        assert one.something_else == pytest.approx(expected[None], abs=1e-9)


@settings(max_examples=40)
@given(st.lists(SAID, min_size=1, max_size=6), st.lists(st.integers(0, 2), max_size=3), st.randoms())
def test_no_order_matters_and_every_claim_can_be_opened(said, met, random):
    world = world_of(said, met)
    shuffled = {name: random.sample(rows, len(rows)) for name, rows in world.items()}
    found = disagreements(compiled(world))
    assert found == disagreements(compiled(shuffled))
    for one in found:
        assert {row.id for value in one.values for row in value.opened} == {row.id for row in world["claims"]}


@settings(max_examples=40)
@given(st.lists(SAID, min_size=1, max_size=6), st.lists(st.integers(0, 2), max_size=3))
def test_a_copier_that_repeats_changes_no_probability(said, met):
    world = world_of(said, met)
    before = chances(world)
    world["sources"] = [*world["sources"], replace(world["sources"][2], id="copier")]
    copies(world, "copier", "talk")
    world["claims"] = world["claims"] + [
        replace(c, id=f"copy.{c.id}", source="copier", firmness="printed")
        for c in world["claims"]
        if c.source == "talk"
    ]
    assert chances(world) == pytest.approx(before, abs=1e-9)


def test_two_independent_sources_outweigh_one_and_a_copy_does_not():
    world = world_of(
        [("ledger", 0, "printed", "for"), ("book", 1, "printed", "for"), ("talk", 1, "said_firmly", "for")]
    )
    together = chances(world)
    copies(world, "book", "talk")
    copied = chances(world)
    assert copied["d.1"] < together["d.1"]
    (one,) = disagreements(compiled(world))
    assert [row.counts_with for value in one.values for row in value.opened if row.source == "book"] == [("the talk",)]


def test_a_person_overrules_and_says_why():
    said = [("ledger", 0, "printed", "for"), ("talk", 1, "guessed", "for")]
    world = world_of(said)
    (weighed,) = disagreements(compiled(world))
    resolution = Resolution(
        "r",
        subject_table="numbers",
        subject="n.0",
        property="decoration",
        value="d.1",
        reason="Seen in the mould room.",
    )
    (overruled,) = disagreements(compiled(world | {"resolutions": [resolution]}))
    assert (weighed.answer, weighed.resolution) == ("d.0", None)
    assert (overruled.answer, overruled.resolution, overruled.reason) == ("d.1", "r", "Seen in the mould room.")
    assert overruled.values == weighed.values  # what speaks for each stays to be seen


def test_a_decision_on_what_nobody_disputes_is_listed():
    world = world_of([("ledger", 0, "printed", "for")])
    assert disagreements(compiled(world)) == ()
    world["resolutions"] = [
        Resolution("r", subject_table="numbers", subject="n.0", property="decoration", value="d.3", reason="My own.")
    ]
    assert [one.answer for one in disagreements(compiled(world))] == ["d.3"]


def test_pieces_alone_contradict_what_nobody_else_disputes():
    world = world_of([("book", 0, "printed", "for")], met=[1, 1])
    (one,) = disagreements(compiled(world))
    assert one.answer is None and one.something_else > 0.9
    assert (one.values[0].met_for, one.values[0].met_against) == (0, 2)


def test_what_a_piece_in_the_hand_says_weighs_as_pieces_do():
    world = world_of([("book", 0, "printed", "for"), ("talk", 1, "printed", "for")])
    before = chances(world)
    claim(world, "hand", 0, 1, "seen", "for")
    after = chances(world)
    assert after["d.1"] > 0.9 > before["d.1"]
    assert learn_sources(compiled(world)).place[3] == PIECE  # a piece in the hand is not itself checked


def dates(*said):
    world = frame(sources=SOURCES)
    world["claims"] = [
        Claim(f"c.{k}", subject_table="decorations", subject="d.0", property="designed", value=value,
              source=source, firmness="printed", stance="for")
        for k, (source, value) in enumerate(said)
    ]  # fmt: skip
    return disagreements(compiled(world))


def test_a_vague_date_agrees_with_one_inside_it():
    assert dates(("ledger", "1934"), ("book", "[1933..1936]"), ("talk", "1935~")) == ()
    (one,) = dates(("ledger", "1934"), ("book", "[1933..1936]"), ("talk", "1936"))
    p = {value.value: value.probability for value in one.values}
    assert p["[1933..1936]"] == pytest.approx(p["1934"] + p["1936"])
    assert p["1934"] > p["1936"]
    assert p["1934"] + p["1936"] + one.something_else == pytest.approx(1)


def test_what_is_no_date_is_a_word_like_others():
    (one,) = dates(("ledger", "in the thirties"), ("book", "1934"))
    assert {value.value for value in one.values} == {"in the thirties", "1934"}


def unmet(**looked):
    world = frame(sources=SOURCES)
    world["productions"] = [Production("p", line="ormsley", decoration="d.0", source="book")]
    world["claims"] = [
        Claim("c", subject_table="productions", subject="p", property="made", source="talk", firmness="said_firmly",
              stance="not_met", **looked)
    ]  # fmt: skip
    (one,) = disagreements(compiled(world))
    assert one.property == "exists"
    return one.values[0].probability


def test_not_met_is_weak_evidence_by_how_long_was_looked():
    nothing, hours, days, ever = unmet(handled=0), unmet(hours=2.0), unmet(handled=500), unmet(handled=10**9)
    assert nothing > hours > days > ever > 0.3
    told = frame(sources=SOURCES) | {"productions": [Production("p", line="ormsley", decoration="d.0", source="book")]}
    learned = learn_sources(compiled(told))
    book, talk = (
        learned.chance(np.array([row]), CLAIM_KINDS.index("existence"), np.array([FIRMNESS.index(firmness)]))[0]
        for row, firmness in ((0, "printed"), (1, "said_firmly"))
    )
    odds = book / (1 - book) * (talk * chance_unmet(500) + 1 - talk)
    assert days == pytest.approx(odds / (1 + odds), abs=1e-9)


def test_not_met_is_of_the_thing_and_not_of_its_dates_whatever_else_is_claimed():
    alone = unmet(handled=500)
    made = Claim("e", subject_table="productions", subject="p", property="made", value="1930/1939", source="ledger",
                 firmness="printed", stance="for")  # fmt: skip
    world = frame(sources=SOURCES)
    world["productions"] = [Production("p", line="ormsley", decoration="d.0", source="book")]
    world["claims"] = [
        made,
        replace(made, id="c", source="talk", value=None, firmness="said_firmly", stance="not_met", handled=500),
    ]
    world["resolutions"] = [
        Resolution("r", subject_table="productions", subject="p", property="made", reason="It stands on my shelf.")
    ]
    (one,) = disagreements(compiled(world))
    assert (one.property, one.values[0].probability) == ("exists", pytest.approx(alone))
    assert one.reason == "It stands on my shelf."


def test_the_demo_disagrees_where_it_was_made_to():
    found = disagreements(compile_reference(load_pack(PACKAGE / "demo" / "pack").tables))
    assert [(one.name, one.property, one.answer) for one in found] == [
        ("Reed Heron", "designed", "1934"),
        ("417 on Ormsley", "decoration", "ossel.reed-heron"),
        ("Ormsley, Rimmed plate (Ormsley), Sedge, Plain, Marlpit Hotels", "exists", None),
    ]


def test_where_no_piece_decides_records_beat_counting_heads_and_dawid_and_skene():
    """Numbers that no piece carries, in planted worlds: who is right more often, and surer where right."""
    right = {("good", "book"): 0.95, ("fair", "book"): 0.75, ("poor", "book"): 0.4, ("spoken", "talk"): 0.5}
    right[("bad", "book")] = 0.4
    told = np.concatenate([judged(seed, right) for seed in range(5)])
    ours, heads, others, our_log, other_log, top = told.T
    print(f"{len(told)}: right {ours.mean():.3f}, heads {heads.mean():.3f}, Dawid-Skene {others.mean():.3f}; "
          f"log {our_log.mean():.2f}, {other_log.mean():.2f}")  # fmt: skip
    assert ours.mean() > heads.mean() + 0.08 and ours.mean() > others.mean() + 0.05
    assert our_log.mean() > other_log.mean()
    assert abs(top.mean() - ours.mean()) < 0.06  # as sure as it is right


def judged(seed, right):
    world = planted(seed, right, each=150)
    truth = np.random.default_rng(seed).integers(DECORATIONS, size=400)
    carried = {int(row.value) - 100 for row in world["readings"]}
    names = [name for name, _ in right]
    counts = np.zeros((400, len(names), DECORATIONS))
    for row in world["claims"]:
        counts[int(row.subject[2:]), names.index(row.source), int(row.value[2:])] += 1
    graded = dawid_skene(counts, tolerance=1e-3, most=500).posterior
    found = [(int(one.subject[2:]), one) for one in disagreements(compiled(world))]
    return np.array([_scores(one, counts[k], graded[k], truth[k]) for k, one in found if k not in carried])


def _scores(one, counts, graded, truth):
    p = {int(value.value[2:]): value.probability for value in one.values}
    heads = counts.sum(axis=0)
    tied = np.flatnonzero(heads == heads.max())
    ours = p.get(truth, one.something_else / (DECORATIONS - len(p)))
    best = max(p, key=p.get)
    logs = np.log(np.maximum([ours, graded[truth]], 1e-9))
    return [best == truth, (tied == truth).mean(), graded.argmax() == truth, *logs, p[best]]
