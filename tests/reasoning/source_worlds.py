"""A pottery whose numbers and windows are known, and sources that tell them right as often as they were made to."""

from __future__ import annotations

import numpy as np

from footring.reference import compile_reference
from footring.rows.collection import Attribution, Piece, Reading
from footring.rows.reference_things import Decoration, Line, Lineage, Maker, Source
from footring.rows.statements import Claim, Number

DECORATIONS = 12


def frame(numbers=6, sources=(("book", "book"), ("talk", "talk"))):
    """Numbers 100, 101 ... of one line that nobody has yet said anything of, and sources given as (id, kind)."""
    return {
        "makers": [Maker("m", name="Quillow & Tarn Works")],
        "lines": [Line("ormsley", maker="m", name="Ormsley")],
        "decorations": [Decoration(f"d.{k}", maker="m", name=f"decoration {k}") for k in range(DECORATIONS)],
        "numbers": [Number(f"n.{k}", line="ormsley", code=str(100 + k)) for k in range(numbers)],
        "sources": [Source(name, name=f"the {name}", kind=kind) for name, kind in sources],
        "claims": [],
        "lineages": [],
        "pieces": [],
        "attributions": [],
        "readings": [],
        "resolutions": [],
    }


def claim(world, source, number, decoration, firmness="printed", stance="for", **more):
    made = Claim(
        f"c.{len(world['claims'])}",
        subject_table="numbers",
        subject=f"n.{number}",
        property="decoration",
        value=None if decoration is None else f"d.{decoration}",
        source=source,
        firmness=firmness,
        stance=stance,
        **more,
    )
    world["claims"].append(made)


def piece(world, number, decoration):
    """A piece on which the number was read, and which a person attributed."""
    k = len(world["pieces"])
    world["pieces"].append(Piece(f"p.{k}"))
    world["readings"].append(Reading(f"r.{k}", piece=f"p.{k}", name="number", value=str(100 + number)))
    world["attributions"].append(
        Attribution(
            f"a.{k}", piece=f"p.{k}", line="ormsley", decoration=f"d.{decoration}", weight=1.0, basis="confirmed"
        )
    )


def copies(world, source, of):
    world["lineages"].append(Lineage(f"l.{len(world['lineages'])}", source=source, drawn_from=of))


def compiled(world):
    return compile_reference(world)


def planted(seed, right, each=60, memory=None, slips=0.03):
    """Sources (id, kind) -> chance of being right in print; `memory`: the odds left to what is said from memory."""
    rng = np.random.default_rng(seed)
    world = frame(numbers=400, sources=tuple(right))
    truth = rng.integers(DECORATIONS, size=400)
    for k in rng.choice(400, 250, replace=False).tolist():
        for _ in range(1 + rng.poisson(1)):
            slip = rng.random() < slips
            piece(world, k, int(rng.integers(DECORATIONS)) if slip else int(truth[k]))
    for (source, _), chance in right.items():
        for k in rng.choice(400, each, replace=False).tolist():
            recalled = memory is not None and rng.random() < 0.5
            odds = chance / (1 - chance) * (memory if recalled else 1.0)
            other = int((truth[k] + rng.integers(1, DECORATIONS)) % DECORATIONS)
            said = int(truth[k]) if rng.random() < odds / (1 + odds) else other
            claim(world, source, k, said, "said_from_memory" if recalled else "printed")
    return world
