from pathlib import Path

import pytest
from django.test import Client

import footring.demo
from footring.records.models import Role, User
from footring.records.packs import bring_in_pack
from tests.known import nothing_known  # noqa: F401

PACK = Path(footring.demo.__file__).parent / "pack"


@pytest.fixture
def client_of():
    """A browser in which somebody is signed in."""

    def signed_in(user: User) -> Client:
        client = Client(HTTP_HOST="127.0.0.1")
        client.force_login(user)
        return client

    return signed_in


@pytest.fixture
def keeper(db):
    return User.objects.create(username="keeper", role=Role.KEEPER)


@pytest.fixture
def demo(keeper):
    """The invented pottery, brought in by the keeper."""
    return bring_in_pack(PACK, keeper)
