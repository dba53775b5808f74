import pytest

from footring.records.acts import act
from footring.rows.collection import Encounter, Finding, FindingAnswer, Piece, Place, Reading


@pytest.fixture
def pieces(keeper):
    """A piece that all may see, put away somewhere, and a private one whose readings are not marked private."""
    with act("put away", keeper) as doing:
        doing.add(
            Place("loft", name="Loft"),
            Piece("a", name="Tea plate", place="loft"),
            Piece("b", name="Hidden dish", private=True),
            Reading("a.form", piece="a", name="form", value="plate", sure=0.8, recorded_by="Perpetua"),
            Reading("a.old", piece="a", name="number", value="41"),
            Reading("a.new", piece="a", name="number", value="417", supersedes="a.old"),
            Reading("b.form", piece="b", name="form", value="covered dish"),
            Encounter("a.met", piece="a", met="2020-05", place="loft"),
            Finding("a.found", piece="a", reference_digest="d", version="0.1.0"),
            FindingAnswer("a.1", finding="a.found", rank=1, probability=0.9, outcome="outside"),
        )  # fmt: skip
    return doing.act
