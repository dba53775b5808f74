"""The posterior against two general-purpose libraries: pgmpy (VariableElimination), pyAgrum (LazyPropagation)."""

from __future__ import annotations

from collections.abc import Callable
from importlib.util import find_spec
from random import Random
from typing import Any

import numpy as np
import pytest

from footring.marks.foot import Foot
from footring.reasoning.model import compile_model
from footring.reference import compile_reference
from tests.reasoning import networks
from tests.reasoning.small_worlds import small_world

LIBRARIES = {"pgmpy": (networks.in_pgmpy, networks.ask_pgmpy), "pyagrum": (networks.in_pyagrum, networks.ask_pyagrum)}


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("library", LIBRARIES)
def test_the_same_posterior(library: str, seed: int) -> None:
    if find_spec(library) is None:
        pytest.skip(f"{library} is not installed here; `make references` adds it")
    make, ask = LIBRARIES[library]
    model = compile_model(compile_reference(small_world(Random(seed))))
    net = make(networks.as_network(model))
    dice = np.random.default_rng(seed)
    for readings in (1, 4, 12):
        _compare(model, networks.random_readings(model, dice, readings), net, ask)


def _compare(model: Any, factors: list[Any], net: Any, ask: Callable[..., Any]) -> None:
    found = networks.weighed_up(model, factors, model.rules.piece_dates(Foot()))
    likelihoods = networks.as_likelihoods(factors)
    for asked in ("line", "form", "body", "glaze", "decoration", "trim"):
        expected = ask(net, likelihoods, asked)
        inside = found.marginals[asked] * (1.0 - found.outside)
        assert np.append(inside, found.outside) == pytest.approx(expected, abs=1e-9)
