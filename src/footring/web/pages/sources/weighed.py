"""What claims and pieces come to over the whole reference: worked out once for each that is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from footring.reasoning.disagreements import Disagreement, disagreements
from footring.reasoning.source_records import (
    FirmnessRecord,
    SourceRecord,
    firmness_records,
    learn_sources,
    source_records,
)
from footring.records.models import Role, User
from footring.reference import Reference


@dataclass(frozen=True)
class Weighed:
    """How the sources of one reference have proved, and where they disagree."""

    records: Mapping[str, SourceRecord]
    firmness: Sequence[FirmnessRecord]
    found: Sequence[Disagreement]

    def about(self, table: str, subject: str, of: str) -> list[Disagreement]:
        """Disagreements on one thing, and on one property of it where that is named."""
        return [one for one in self.found if (one.table, one.subject) == (table, subject) and of in ("", one.property)]


@lru_cache(maxsize=1)
def weighed(reference: Reference) -> Weighed:
    """Everything weighed; kept until something else is known."""
    learned = learn_sources(reference)
    records = source_records(reference, learned)
    return Weighed(records, firmness_records(reference, learned), disagreements(reference, learned))


def open_to(user: User, reference: Reference, one: Disagreement) -> bool:
    """Whether somebody may see all that a disagreement rests on."""
    if user.may(Role.CURATOR):
        return True
    rests_on = {(said.table, said.id) for value in one.values for said in value.opened}
    rests_on |= {("sources", said.source) for value in one.values for said in value.opened if said.source}
    return not any(reference.row(table, name).private for table, name in {*rests_on, (one.table, one.subject)})
