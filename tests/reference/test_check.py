"""Each kind of fault: where it is, what is expected, what is suggested; and that nothing else is complained of."""

from __future__ import annotations

import pickle
import time
from typing import Any

import pytest

from footring.reference import Fault, ReferenceFaults, check, compile_reference, extend
from footring.rows import TABLES, RowTable
from footring.rows.collection import Attribution, Encounter, FindingAnswer, Piece
from footring.rows.reference_things import Decoration, Form, Glaze, Line, Maker, Mould, Size
from footring.rows.statements import Claim, Number, Production
from footring.terms.errors import BadInput, UnknownName

GOOD: dict[str, list[Any]] = {
    "makers": [Maker("o.quillow", name="Quillow & Tarn Works", active="1904/1968")],
    "lines": [Line("o.ormsley", maker="o.quillow", name="Ormsley"), Line("o.wherry", maker="o.quillow", name="Wherry")],
    "forms": [Form("o.cup", line="o.ormsley", name="cup"), Form("o.jug", line="o.wherry", name="jug")],
    "sizes": [Size("o.cup-1", form="o.cup", across_mm=84.0)],
    "glazes": [Glaze("o.celadon", name="celadon")],
    "decorations": [Decoration("o.heron", name="heron"), Decoration("o.reeds", name="reeds")],
    "pieces": [Piece("o.p1"), Piece("o.p2")],
}


def faults(**more: list[Any]) -> list[Fault]:
    return check({name: [*GOOD.get(name, []), *more.get(name, [])] for name in GOOD | more})


def attribution(name: str, **facts: Any) -> Attribution:
    return Attribution(name, **{"piece": "o.p1", "line": "o.ormsley", "weight": 1.0, "basis": "confirmed", **facts})


def number(name: str, **facts: Any) -> Number:
    return Number(name, **{"line": "o.ormsley", "code": "417", "decoration": "o.heron", **facts})


def made(when: str) -> Production:
    return Production("o.s1", line="o.ormsley", made=when)


def claim(**facts: Any) -> Claim:
    how = {"subject_table": "forms", "subject": "o.cup", "firmness": "seen", "stance": "for", "source": "o.none"}
    return Claim("o.c1", property="name", **{**how, **facts})


ONE_FAULT: list[tuple[dict[str, list[Any]], tuple[str, int | None, str | None], str]] = [
    ({"glazes": [Glaze("o.celadon", name="jade")]}, ("glazes", 1, "id"), "duplicate id: given 'o.celadon'"),
    (
        {"forms": [Form("o.bowl", line="o.ormsly", name="bowl")]},
        ("forms", 2, "line"),
        "dangling id: given 'o.ormsly'; expected the id of a row of lines; did you mean 'o.ormsley'",
    ),
    (
        {"encounters": [Encounter("o.e1", piece="o.p1", outing="zzzz")]},
        ("encounters", 0, "outing"),
        "dangling id: given 'zzzz'; expected the id of a row of outings$",
    ),
    (
        {"attributions": [attribution("o.a1", supersedes="o.a2"), attribution("o.a2", supersedes="o.a1")]},
        ("attributions", 0, "supersedes"),
        "superseding circle: given o.a1 -> o.a2 -> o.a1",
    ),
    (
        {"attributions": [attribution("o.a1", supersedes="o.a1")]},
        ("attributions", 0, "supersedes"),
        "superseding circle: given o.a1 -> o.a1",
    ),
    (
        {"attributions": [attribution("o.a1", supersedes="o.a0")]},
        ("attributions", 0, "supersedes"),
        "superseding something absent: given 'o.a0'; expected the id of an earlier row of attributions",
    ),
    (
        {"productions": [made("1936-13")]},
        ("productions", 0, "made"),
        "impossible date: given '1936-13'; expected an EDTF",
    ),
    ({"productions": [made("1939/1936")]}, ("productions", 0, "made"), "impossible date: given '1939/1936'"),
    ({"productions": [made("before the war")]}, ("productions", 0, "made"), "impossible date: given 'before the war'"),
    (
        {"pieces": [Piece("o.p3", recorded_at="1.3.2026")]},
        ("pieces", 2, "recorded_at"),
        "impossible moment: given '1.3.2026'; expected an ISO 8601 day, or day and time; write it as 2026-03-01",
    ),
    (
        {"numbers": [number("o.n1"), number("o.n2", decoration="o.reeds")]},
        ("numbers", 1, "era"),
        "one code for two decorations: given line 'o.ormsley', code '417'; .*'o.n1' has it too; let one supersede",
    ),
    ({"numbers": [number("o.n1"), number("o.n2")]}, ("numbers", 1, "era"), "duplicate key: .*'o.n1' has it too"),
    (
        {"sizes": [Size("o.cup-2", form="o.cup", across_mm=1000.0)]},
        ("sizes", 1, "across_mm"),
        "given 1000.0; expected more than 0 and less than 1000",
    ),
    ({"sizes": [Size("o.cup-2", form="o.cup", across_mm=0.0)]}, ("sizes", 1, "across_mm"), "more than 0 and less"),
    (
        {"sizes": [Size("o.cup-2", form="o.cup", across_mm=float("inf"))]},
        ("sizes", 1, "across_mm"),
        "not a finite number",
    ),
    (
        {"attributions": [attribution("o.a1", weight=1.5)]},
        ("attributions", 0, "weight"),
        "given 1.5; expected from 0 to 1",
    ),
    (
        {"attributions": [attribution("o.a1", basis="confirmd")]},
        ("attributions", 0, "basis"),
        "given 'confirmd'; expected one of confirmed, proposed; did you mean 'confirmed'",
    ),
    ({"glazes": [Glaze("o.g2", name="")]}, ("glazes", 1, "name"), "empty text: given ''; expected text, or None"),
    (
        {"sources": [], "claims": [claim(source=None)]},
        ("claims", 0, "source"),
        "required value missing: given nothing; expected a value",
    ),
    (
        {"attributions": [attribution("o.a1", form="o.jug")]},
        ("attributions", 0, "form"),
        "form of another line: given 'o.jug'; expected one of the line named beside it; it belongs to line 'o.wherry'",
    ),
    (
        {"attributions": [attribution("o.a1", line="o.wherry", form="o.jug", size="o.cup-1")]},
        ("attributions", 0, "size"),
        "size of another form: given 'o.cup-1'; .*it belongs to form 'o.cup'",
    ),
]


@pytest.mark.parametrize(("more", "place", "text"), ONE_FAULT, ids=[text[:40] for *_, text in ONE_FAULT])
def test_a_fault_is_told_at_its_place(more: dict[str, list[Any]], place: tuple[Any, ...], text: str) -> None:
    (fault,) = faults(**more)
    assert (fault.table, fault.row, fault.column) == place
    with pytest.raises(BadInput, match=text) as caught:
        raise BadInput(fault.message)
    assert str(caught.value).startswith(fault.table)


def test_a_subject_is_looked_for_in_the_table_named_beside_it() -> None:
    told = faults(claims=[claim(subject="o.heron"), claim(subject_table="frms")])
    found = {(fault.row, fault.column) for fault in told}
    assert {(0, "subject"), (1, "subject_table"), (1, "id")} <= found
    assert any(fault.suggestion == "did you mean 'forms'?" for fault in told)


def test_a_number_replaced_or_of_another_era_is_no_fault() -> None:
    assert faults() == []
    assert faults(numbers=[number("o.n1"), number("o.n2", decoration="o.reeds", supersedes="o.n1")]) == []
    assert faults(numbers=[number("o.n1", era="1930/1939"), number("o.n2", era="1950/", decoration="o.reeds")]) == []
    assert faults(numbers=[number("o.n1"), number("o.n2", line="o.wherry", decoration="o.reeds")]) == []


def test_rows_may_stand_in_any_order() -> None:
    later = [attribution("o.a2", supersedes="o.a1"), attribution("o.a1")]
    assert faults(attributions=later) == []
    assert compile_reference({**GOOD, "attributions": later}).tables["attributions"].current.tolist() == [True, False]


def test_extend_tells_a_fault_against_what_is_known() -> None:
    known = compile_reference({**GOOD, "numbers": [number("o.n1")]})
    with pytest.raises(ReferenceFaults, match="one code for two decorations") as caught:
        extend(known, {"numbers": [number("o.n2", decoration="o.reeds")], "glazes": [Glaze("o.celadon", name="jade")]})
    assert {(fault.table, fault.row) for fault in caught.value.faults} == {("numbers", 0), ("glazes", 0)}
    assert len(known.tables["numbers"]) == 1


def test_an_id_given_lately_is_not_given_again() -> None:
    known = extend(compile_reference(GOOD), {"pieces": [Piece("o.p3")]})
    with pytest.raises(ReferenceFaults, match=r"duplicate id: given 'o\.p3'"):
        extend(known, {"pieces": [Piece("o.p4"), Piece("o.p3")]})


def test_withdrawing_needs_one_statement() -> None:
    known = compile_reference({**GOOD, "attributions": [attribution("o.a1")]})
    assert extend(known, {}, superseded=["o.a1"]).counts.per_cell("confirmed").tolist() == [0.0]
    with pytest.raises(ReferenceFaults, match=r"withdrawing what is not there: .*'o.a7'"):
        extend(known, {}, superseded=["o.a7"])


def test_an_unknown_table_is_named() -> None:
    with pytest.raises(UnknownName, match="there is no table 'glazs'; did you mean 'glazes'"):
        compile_reference({"glazs": []})


def test_faults_go_through_a_pickle_and_show_the_first_twenty() -> None:
    moulds = [Mould(f"o.m{i}", maker="o.quilow", name="m") for i in range(30)]
    with pytest.raises(ReferenceFaults, match=r"^30 faults in the tables\n.*did you mean 'o.quillow'") as caught:
        compile_reference({**GOOD, "moulds": moulds})
    again = pickle.loads(pickle.dumps(caught.value))
    assert again.faults == caught.value.faults and str(again).endswith("and 10 more")


def test_many_faults_among_many_ids_take_no_time() -> None:
    """A suggestion by comparing each with all would take hours."""
    count = 100_000
    ids = [f"o.p{i}" for i in range(count)]
    pieces = RowTable.from_columns(TABLES["pieces"], {"id": ids})
    wrong = RowTable.from_columns(TABLES["encounters"], {"id": ids, "piece": [f"{name}x" for name in ids]})
    start = time.perf_counter()
    told = check({"pieces": pieces, "encounters": wrong})
    assert time.perf_counter() - start < 10
    assert 1000 <= len(told) <= count and told[0].suggestion and told[0].suggestion.startswith("did you mean 'o.p")
    assert any("99000 more" in fault.given for fault in told)


def test_answers_share_a_rank_only_across_findings() -> None:
    answers = [FindingAnswer(f"o.x{i}", finding="o.f", rank=1, probability=0.5, outcome="outside") for i in range(2)]
    told = check({"finding_answers": answers})
    assert {fault.kind for fault in told} == {"dangling id", "duplicate key"}
