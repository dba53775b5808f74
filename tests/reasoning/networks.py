"""A small reference as an explicit network in two general-purpose libraries, one node a hidden attribute.

Nodes: line (the last is outside), form, treatment (as the line has it, or come about by the product of its parts) and
its parts, window, years of decorating and potting, in-clay and printed mark. Tables are those of the slow twin;
readings are likelihoods of a node's values.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading
from footring.reasoning.channels.factor import SLOTS, Factor
from footring.reasoning.examination import Examination, Way
from footring.reasoning.gaps import gaps
from footring.reasoning.mark_years import PieceDates
from footring.reasoning.model import Model
from footring.reasoning.piece_years import piece_years
from footring.reasoning.posterior import weigh
from footring.reasoning.slots import by_slot
from tests.reasoning.network_twin import Network, Read
from tests.reasoning.twin_shares import PARTS, TwinShares, share_of

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Node:
    """One hidden attribute: its parents, and p(value | parents), the parents first and the value last."""

    parents: tuple[str, ...]
    table: Floats


Small = dict[str, Node]


def in_pgmpy(small: Small) -> Any:
    """The network as pgmpy has it, ready to be asked."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork

        net = DiscreteBayesianNetwork([(parent, name) for name, node in small.items() for parent in node.parents])
        for name, node in small.items():
            *given, values = node.table.shape
            flat = node.table.reshape(-1, values).T
            net.add_cpds(TabularCPD(name, values, flat, list(node.parents) or None, given or None))
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
        for name, node in small.items():
            net.add(gum.RangeVariable(name, "", 0, node.table.shape[-1] - 1))
        for name, node in small.items():
            for parent in node.parents:
                net.addArc(parent, name)
            axes = [*node.parents, name]
            order = [axes.index(axis) for axis in reversed(net.cpt(name).names)]
            net.cpt(name)[:] = np.ascontiguousarray(node.table.transpose(order))
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
    twin = Network(model)
    shares, outside = twin.shares, model.parameters.outside
    forms = list(shares.forms)
    line = np.array([*((1.0 - outside) * shares.line[one] for one in shares.lines), outside])
    form = np.zeros((len(line), len(forms) + 1))
    for i, one in enumerate(forms):
        form[shares.at["lines", shares.forms[one].line], i] = shares.form[one]
    form[-1, -1] = 1.0
    ways = [
        [((how == "product", shares.forms[one].line, parts), p) for how, parts, p in shares.ways_to(one)]
        for one in forms
    ]
    of = {way: i for i, way in enumerate(dict.fromkeys(way for several in ways for way, _ in several))}
    treatment = np.zeros((len(forms) + 1, len(of) + 1))
    for i, several in enumerate(ways):
        for way, p in several:
            treatment[i, of[way]] += p
    treatment[-1, -1] = 1.0
    parts = {part: Node(("treatment",), _part_of(shares, part, [way for _, *way in of])) for part in PARTS}
    first = {"line": Node((), line), "form": Node(("line",), form), "treatment": Node(("form",), treatment)}
    return first | parts | _years_of(twin, forms, list(of), treatment)


def _years_of(twin: Network, forms: list[str], ways: list[Any], treatment: Floats) -> Small:
    """Window of each form and treatment, year of decorating, of potting, and both marks."""
    count = len(twin.years)
    rows: dict[bytes, int] = {}
    which = np.zeros(treatment.shape, int)
    for i, j in np.argwhere(treatment[:-1] > 0):
        form, (by_product, _, parts) = forms[i], ways[j]
        how = "cell" if (form, *parts) in twin.shares.cells else "product" if by_product else "treatment"
        window = twin.window(twin.forms[form].line, form, parts, how)
        which[i, j] = rows.setdefault(window.tobytes(), len(rows))
    decorated = np.array([np.frombuffer(row) for row in rows]).reshape(-1, count)
    nodes = {
        "window": Node(("form", "treatment"), np.eye(len(rows))[which]),
        "decorated": Node(("window",), decorated / decorated.sum(axis=1, keepdims=True)),
        "potted": Node(("decorated",), gaps(count).lag),
    }
    for side, year in (("mark_in_clay", "potted"), ("mark_printed", "decorated")):
        read, groups = Read(twin.model, []), twin.model.marks.group_of_form.tolist()
        by_form = [np.array(twin.marks(g, side, read, twin.nothing)) for g in groups]
        table = np.zeros((len(forms) + 1, count, len(by_form[0]) + 1))
        table[:-1, :, :-1] = np.transpose(by_form, (0, 2, 1))
        table[-1, :, -1] = 1.0
        nodes[side] = Node(("form", year), table)
    return nodes


def _part_of(shares: TwinShares, part: str, treatments: list[Any]) -> Floats:
    values = [*shares.values[part], "NEW"]
    table = np.zeros((len(treatments) + 1, len(values) + 1))
    for row, (line, parts) in zip(table, treatments, strict=False):
        said = parts[PARTS.index(part)]
        row[:-1] = [said == one if said is not None else share_of(shares, line, part, one) for one in values]
    table[-1, -1] = 1.0
    return table


def random_readings(model: Model, dice: np.random.Generator, count: int) -> list[Factor]:
    """Soft evidence, as many readings as asked for, several of one thing where there are more than things."""
    slots = dice.permutation(["line", "form", *PARTS, "mark_in_clay", "mark_printed"]).tolist()
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
    return [(f.slot, np.exp(_values(f))) for f in factors]


def _values(factor: Factor) -> list[float]:
    if factor.slot.startswith("mark"):
        return [factor.none, factor.new, *factor.log, factor.outside]
    return [*factor.log, *([factor.new] if factor.slot in PARTS else []), factor.outside]


def weighed_up(model: Model, factors: Sequence[Factor], dates: PieceDates) -> Examination:
    """Footring's posterior from the same factors."""
    slots, outside = by_slot(factors)
    years = piece_years(model, slots, dates)
    weighed = weigh(model, slots, years)
    log_inside = np.log(weighed.total) + sum(slot.taken for slot in slots.values())
    return Examination(model, (), dates, (Way(float(log_inside), weighed, years),), outside)
