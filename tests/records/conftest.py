import pytest

from footring.records.known import forget


@pytest.fixture(autouse=True)
def _nothing_known():
    forget()
    yield
    forget()
