"""The invented pottery, compiled once; shared by the tests of this folder, which change nothing in it."""

from __future__ import annotations

import pytest

from footring.packs import load_pack
from footring.reasoning.model import Model, compile_model
from footring.reference import compile_reference
from tests.house import PACKAGE


@pytest.fixture(scope="session")
def demo() -> Model:
    return compile_model(compile_reference(load_pack(PACKAGE / "demo" / "pack").tables))
