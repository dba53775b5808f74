"""A finding as plain data, one object a piece."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from footring.reasoning.attributions import Attribution
from footring.reasoning.date_json import date_answer_json
from footring.reasoning.finding import Finding

Plain = dict[str, Any]
LEAST = 1e-6
"""Probability below which a value of an attribute is left out of what is written."""


def piece_json(finding: Finding, piece_id: str | None = None) -> Plain:
    """The finding as dictionaries, lists, numbers and text, none of them NaN or infinite.

    `attributions`, `rest` and `outside` make 1; `unrecorded` is the part of the first two that is in cells nobody
    recorded. In an attribution null is none or unknown, which `_state` tells apart: "known", "none", "unknown", or
    "new" for one that the reference does not hold. `marginals` are [value, probability, id], given not outside;
    what is less likely than one in a million is left out. Dates are as `footring date` writes them.
    """
    plain: Plain = {
        "id": piece_id,
        "outside": finding.outside,
        "unrecorded": finding.unrecorded,
        "rest": finding.rest,
        "attributions": [_attribution(row) for row in finding.attributions],
        "marginals": {
            name: [list(share) for share in shares if share[1] >= LEAST] for name, shares in finding.marginals.items()
        },
        "dates": {name: date_answer_json(answer) for name, answer in finding.dates.items()},
        **{name: [_plain(item) for item in getattr(finding, name)] for name in _TOLD},
        "cautions": [{"text": c.text, "because": c.trigger, "source": c.source} for c in finding.cautions],
        "notes": list(finding.notes),
        "provenance": dict(finding.provenance),
    }
    if finding.lid is not None:
        plain |= {"together": finding.together, "lid": piece_json(finding.lid)}
    return plain


_TOLD = ("evidence", "conflicts", "unusual", "next")


def _attribution(row: Attribution) -> Plain:
    plain: Plain = {}
    for name, value in row.values.items():
        plain |= {name: value.name, f"{name}_id": value.id, f"{name}_state": value.state}
    return plain | {"p": row.p, "recorded": row.recorded}


def _plain(item: Any) -> Any:
    """What explains a finding, by the names it has there."""
    if is_dataclass(item) and not isinstance(item, type):
        return {field.name: _plain(getattr(item, field.name)) for field in fields(item)}
    if isinstance(item, tuple | list):
        return [_plain(one) for one in item]
    return item
