"""A date finding as plain data, one object a piece."""

from __future__ import annotations

from typing import Any

import numpy as np

from footring.reasoning.date_finding import DateAnswer, Weighed
from footring.reasoning.date_mark import DateFinding

Plain = dict[str, Any]


def date_json(finding: DateFinding, piece_id: str | None = None) -> Plain:
    """The finding as dictionaries, lists, numbers and text.

    Years are ints; `intervalNN` are lists of [first, last], both included; `from` and `to` are null where that
    side has no hard bound; `density` is [first_year, [probability of each year from there]].
    """
    plain: Plain = {
        "id": piece_id,
        "dates": {name: date_answer_json(answer) for name, answer in finding.dated.dates.items()},
        "evidence": [_weighed(item) for item in finding.dated.evidence],
        "conflicts": [
            {"between": list(c.between), "bits": c.bits, "explanation": c.explanation} for c in finding.dated.conflicts
        ],
        "cautions": [{"text": c.text, "because": c.trigger, "source": c.source} for c in finding.cautions],
        "codes": [_code(code) for code in finding.codes],
        "numerals": [{"text": n.text, "part": n.part, "kinds": dict(n.kinds)} for n in finding.numerals],
        "notes": list(finding.notes),
        "provenance": dict(finding.provenance),
    }
    if finding.lid is not None:
        plain["lid"] = date_json(finding.lid)
    return plain


def date_answer_json(answer: DateAnswer) -> Plain:
    """One date; see `date_json`."""
    held = np.flatnonzero(answer.density > 0)
    first, last = int(held[0]), int(held[-1])
    return {
        "median": answer.median,
        **{f"interval{mass}": [list(span) for span in spans] for mass, spans in answer.intervals.items()},
        "from": answer.window[0],
        "to": answer.window[1],
        "density": [int(answer.years[first]), answer.density[first : last + 1].tolist()],
    }


def _weighed(item: Weighed) -> Plain:
    rests_on = item.evidence
    return {
        "reading": rests_on.reading,
        "says": rests_on.says,
        "bears_on": list(rests_on.speaks_of),
        "alone_db": round(item.alone_db, 3),
        "last_db": round(item.last_db, 3),
        "words": item.words,
        "kind": rests_on.kind,
        "strength": rests_on.strength,
        "hard": rests_on.hard,
        "rule": rests_on.rule,
        "rests_on": rests_on.source,
        "status": rests_on.status,
    }


def _code(code: Any) -> Plain:
    return {
        "scheme": code.scheme,
        "maker": code.maker,
        "spans": [list(span) for span in code.spans],
        "fields": dict(code.fields),
        "says": code.says,
        "problems": list(code.problems),
        "source": code.source,
    }
