"""A tiny invented factory on disk, and read; shared by the tests of this folder, which change neither."""

import pytest

from footring.demo.simulate import simulate
from footring.reasoning.calibration.simulated import read_simulated
from tests.simulated.tiny import TINY


@pytest.fixture(scope="session")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("factory") / "world"
    simulate(TINY, 1, 60, 30, out)
    return out


@pytest.fixture(scope="session")
def world(folder):
    return read_simulated(folder)
