"""What every page needs."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from footring.records.models import Role

PLACES = (
    ("examine", "Examine", Role.MEMBER),
    ("at-home", "At home", Role.MEMBER),
    ("reference", "Reference", Role.GUEST),
    ("sources", "Sources", Role.MEMBER),
    ("bring-in", "Bring in", Role.MEMBER),
    ("help", "Help", Role.GUEST),
    ("settings", "Settings", Role.GUEST),
)
"""Names of the first pages, what they are called, and who sees them."""
PART_OF = {"": "examine", "put-away": "examine", "piece": "at-home", "people": "settings", "password": "settings"}
"""First pages whose parts stand under another address."""


def everywhere(request: HttpRequest) -> dict[str, Any]:
    """Where one can go, and where one is."""
    user = getattr(request, "user", None)
    may = [(name, title) for name, title, role in PLACES if user and user.is_authenticated and user.may(role)]
    part = request.path_info.strip("/").partition("/")[0]
    return {
        "places": may, "society": settings.SOCIETY, "here": getattr(request.resolver_match, "url_name", ""),
        "within": PART_OF.get(part, part),
    }  # fmt: skip
