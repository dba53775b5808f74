"""A small reference as an explicit network in two general-purpose libraries, one node a hidden attribute.

Nodes: line (the last is outside), form, and what a piece of that form came about by: a recorded cell, a treatment of
the line, or the product of the parts. Tables are those of the slow twin; readings are likelihoods of a node's values.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading
from footring.reasoning.channels.factor import SLOTS, Factor
from footring.reasoning.examination import Examination, Way
from footring.reasoning.mark_years import PieceDates
from footring.reasoning.model import Model
from footring.reasoning.posterior import weigh
from footring.reasoning.slots import by_slot
from tests.reasoning.twin_shares import PARTS, TwinShares, share_of

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Small:
    """line -> form -> treatment -> body, glaze, decoration, trim: conditional tables, the parent in the rows."""

    line: Floats
    form: Floats
    treatment: Floats
    parts: Mapping[str, Floats]


def in_pgmpy(small: Small) -> Any:
    """The network as pgmpy has it, ready to be asked."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork

        edges = [("line", "form"), ("form", "treatment"), *(("treatment", part) for part in small.parts)]
        net = DiscreteBayesianNetwork(edges)
        net.add_cpds(TabularCPD("line", len(small.line), small.line[:, None].tolist()))
        for parent, child in edges:
            table = getattr(small, child, None) if child not in small.parts else small.parts[child]
            net.add_cpds(TabularCPD(child, table.shape[1], table.T.tolist(), [parent], [table.shape[0]]))
        return VariableElimination(net)


def ask_pgmpy(net: Any, evidence: Sequence[tuple[str, Floats]], asked: str) -> Floats:
    """p(asked | evidence); several likelihoods of one node are multiplied."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD

        soft = [TabularCPD(name, len(p), p[:, None].tolist()) for name, p in multiplied(evidence).items()]
        return np.asarray(net.query([asked], virtual_evidence=soft, show_progress=False).values)


def in_pyagrum(small: Small) -> Any:
    """The network as pyAgrum has it, ready to be asked."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pyagrum as gum

        net = gum.BayesNet()
        of = {"line": small.line[None], "form": small.form, "treatment": small.treatment, **small.parts}
        for name, table in of.items():
            net.add(gum.RangeVariable(name, "", 0, table.shape[1] - 1))
        for parent, child in [("line", "form"), ("form", "treatment"), *(("treatment", p) for p in small.parts)]:
            net.addArc(parent, child)
        for name, table in of.items():
            net.cpt(name)[:] = table[0] if name == "line" else table
        return gum.LazyPropagation(net)


def ask_pyagrum(net: Any, evidence: Sequence[tuple[str, Floats]], asked: str) -> Floats:
    """p(asked | evidence)."""
    net.eraseAllEvidence()
    for name, p in multiplied(evidence).items():
        net.addEvidence(name, p.tolist())
    net.makeInference()
    return np.asarray(net.posterior(asked).toarray())


def multiplied(evidence: Sequence[tuple[str, Floats]]) -> dict[str, Floats]:
    """One likelihood a node, the largest 1."""
    found: dict[str, Floats] = {}
    for name, p in evidence:
        found[name] = found.get(name, np.ones(len(p))) * p
    return {name: p / p.max() for name, p in found.items()}


def as_network(model: Model) -> Small:
    """Tables of the slow twin; the last value of every node is a piece from outside, before it in parts a new one."""
    shares = TwinShares(model)
    outside = model.parameters.outside
    line = np.array([*((1.0 - outside) * shares.line[one] for one in shares.lines), outside])
    forms = list(shares.forms)
    form = np.zeros((len(line), len(forms) + 1))
    for i, one in enumerate(forms):
        form[shares.at["lines", shares.forms[one].line], i] = shares.form[one]
    form[-1, -1] = 1.0
    form[form.sum(axis=1) == 0, -1] = 1.0
    ways = [[(parts, p) for _, parts, p in shares.ways_to(one)] for one in forms]
    of = {parts: i for i, parts in enumerate(dict.fromkeys(parts for way in ways for parts, _ in way))}
    treatment = np.zeros((len(forms) + 1, len(of) + 1))
    for i, way in enumerate(ways):
        for parts, p in way:
            treatment[i, of[parts]] += p
    treatment[-1, -1] = 1.0
    return Small(line, form, treatment, {part: _part_of(shares, part, list(of)) for part in PARTS})


def _part_of(shares: TwinShares, part: str, treatments: list[Any]) -> Floats:
    values = [*shares.values[part], "NEW"]
    table = np.zeros((len(treatments) + 1, len(values) + 1))
    for row, parts in zip(table, treatments, strict=False):
        said = parts[PARTS.index(part)]
        row[:-1] = [said == one if said is not None else share_of(shares, part, one) for one in values]
    table[-1, -1] = 1.0
    return table


def random_readings(model: Model, dice: np.random.Generator, count: int) -> list[Factor]:
    """Soft evidence, as many readings as asked for; from the seventh on a second reading of the same thing."""
    slots = ("form", "decoration", "glaze", "line", "body", "trim")
    nothing = Reading("form", "")
    found = []
    for i in range(count):
        slot = slots[i % len(slots)]
        rows = len(model.reference.tables[SLOTS[slot]])
        *log, none, new, outside = np.log(dice.uniform(0.001, 1.0, rows + 3)).tolist()
        found.append(Factor(nothing, slot, np.array(log), none, new, outside))
    return found


def as_likelihoods(factors: Sequence[Factor]) -> list[tuple[str, Floats]]:
    """The same readings as likelihoods of the nodes' values."""
    return [(f.slot, np.exp([*f.log, *([f.new] if f.slot in PARTS else []), f.outside])) for f in factors]


def weighed_up(model: Model, factors: Sequence[Factor], dates: PieceDates) -> Examination:
    """Footring's posterior from the same factors."""
    slots, outside = by_slot(factors)
    weighed = weigh(model, slots, None)
    log_inside = np.log(weighed.total) + sum(slot.taken for slot in slots.values())
    return Examination(model, (), dates, (Way(float(log_inside), weighed, None),), outside)
