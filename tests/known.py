"""Each test begins with nothing worked out, and looks at what is worked out at once."""

import pytest

from footring.records.known import forget


@pytest.fixture(autouse=True)
def nothing_known(monkeypatch):
    monkeypatch.setattr("footring.records.known.QUICK_SECONDS", 600.0)  # never in the background
    forget()
    yield
    forget()
