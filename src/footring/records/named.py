"""Places and people found by how they are called."""

from __future__ import annotations

from footring.records.ids import new_id
from footring.records.models import MODELS
from footring.rows.collection import Person, Place
from footring.terms.errors import BadInput

LONGEST = 500


def named(row_class: type[Place | Person], given: str | None) -> tuple[str | None, list[Place | Person]]:
    """The id of a place or person, and its row where it is none that is known yet; a new person is private.

    Parameters
    ----------
    given : str or None
        Its id, or its name in capitals or without; None and empty for none.

    Raises
    ------
    BadInput
        It is longer than any name.
    """
    called = (given or "").strip()
    if not called:
        return None, []
    if len(called) > LONGEST:
        raise BadInput(f"{called[:40]}…: expected a name of at most {LONGEST} letters; shorten it")
    model = MODELS[row_class.TABLE]
    found = model.objects.filter(pk=called).first() or model.objects.filter(name__iexact=called).order_by("pk").first()
    if found is not None:
        return str(found.pk), []
    made = row_class(new_id(), name=called, private=row_class is Person)
    return made.id, [made]
