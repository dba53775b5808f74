"""A place or a person is found however it is written, and made once."""

import pytest

from footring.records.acts import act
from footring.records.named import named
from footring.rows.collection import Person, Place

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def noted():
    with act("note", None) as doing:
        doing.add(Place("shelf", name="Shelf 2, front room"), Person("ann", name="Ines Marrable"))


@pytest.mark.parametrize("given", ["shelf", "Shelf 2, front room", " shelf 2, FRONT room "])
def test_one_that_is_known_is_found_by_its_id_or_name(given):
    assert named(Place, given) == ("shelf", [])


@pytest.mark.parametrize("given", [None, "", "  "])
def test_nothing_is_no_place(given):
    assert named(Place, given) == (None, [])


def test_a_new_one_is_made_and_a_person_is_private():
    key, [place] = named(Place, " Attic ")
    assert (place.id, place.name, place.private) == (key, "Attic", False)
    assert named(Person, "Stallholder")[1][0].private
    assert named(Place, "Ines Marrable")[1] != [], "a person is no place"
