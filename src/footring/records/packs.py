"""A pack brought into the collection as it stands."""

from __future__ import annotations

from pathlib import Path

from footring.packs import load_pack
from footring.records.acts import act
from footring.records.models import Act, User
from footring.reference import ReferenceFaults, check


def bring_in_pack(path: Path, by: User | None) -> Act:
    """Everything a pack holds, in one act, so that it can be taken back at once.

    Raises
    ------
    ReferenceFaults
        With every fault; nothing is then brought in.
    """
    tables = load_pack(path).tables
    if faults := check(tables):
        raise ReferenceFaults(faults)
    with act(f"Bring in {path.name}", by) as doing:
        doing.add(*(row for table in tables.values() for row in table.rows()), checked=True)
    return doing.act
