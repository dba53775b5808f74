import pytest

from footring.records.known import forget


@pytest.fixture(autouse=True)
def _nothing_known(monkeypatch):
    monkeypatch.setattr("footring.records.known.QUICK_SECONDS", 600.0)  # never in the background: tests look at once
    forget()
    yield
    forget()
