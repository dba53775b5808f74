"""What is read is stored and comes back as it was read."""

import pytest

from footring.marks.readings import Reading
from footring.reasoning.model import compile_model
from footring.records.acts import act
from footring.records.models import MODELS
from footring.records.readings import as_read, name_of, to_store, usable
from footring.reference import compile_reference
from footring.rows import collection as rows

pytestmark = pytest.mark.django_db
PARTS = {"lid": "its lid", "base": "its base", "box": "its box"}
READ = [
    Reading("number", "417"), Reading("number", "12", index=2), Reading("mark", "A / B", p=0.7),
    Reading("date_code", "", absent=True), Reading("mark", "none"), Reading("label", '"quoted"'),
    Reading("mark", "maybe ~0.5"), Reading("glaze", "Sedge", part="lid"), Reading("glaze", "Clear", part="base"),
]  # fmt: skip


def stored(*found):
    with act("read", None) as doing:
        doing.add(rows.Piece("p"), *(rows.Part(key, piece="p", name=name) for name, key in PARTS.items()), *found)
    return [MODELS["readings"].objects.select_related("part").get(pk=row.id) for row in found]


def test_it_comes_back_as_it_was_read():
    """Also what stands on a piece and would mean something as typed: none, quotes, a doubt."""
    assert [as_read(row) for row in stored(*(to_store(one, "p", PARTS.get(one.part)) for one in READ))] == READ


def test_it_is_called_with_its_part_as_it_is_typed():
    on_lid, second = stored(to_store(READ[7], "p", "its lid"), to_store(READ[1], "p"))
    assert (name_of(on_lid), name_of(second)) == ("lid.glaze", "number.2")


def test_what_is_read_off_a_box_is_nothing_of_the_piece():
    [row] = stored(to_store(Reading("line", "Wherry"), "p", "its box"))
    assert as_read(row) is None and name_of(row) == "box.line"


def test_what_cannot_be_used_is_told_and_the_rest_is():
    channels = compile_model(compile_reference({})).channels
    found = stored(
        to_store(Reading("across", "two hands"), "p"), rows.Reading("odd", piece="p", name="glorp", value="x"),
        to_store(Reading("number", "417"), "p"), to_store(Reading("line", "Wherry"), "p", "its box"),
    )  # fmt: skip
    read, unused = usable(found, channels)
    assert read == [Reading("number", "417")]
    assert "two hands" in unused[0] and "no reading is called 'glorp'" in unused[1] and len(unused) == 2
