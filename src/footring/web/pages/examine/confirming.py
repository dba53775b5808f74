"""What was typed, shown to be confirmed, and taken."""

from __future__ import annotations

from django.http import QueryDict

from footring.reasoning.typed import Understood
from footring.web.pages.examine.asked import Asked
from footring.web.whole import whole


def chosen(query: QueryDict, lines: tuple[Understood, ...], asked: Asked) -> Asked:
    """The state with the chosen meaning of every clause taken; what was not understood stays to be mended."""
    taken = asked.now()
    for i, line in enumerate(lines):
        which = whole(query.get(f"c{i}", "0"))
        if which is not None and which < len(line.meanings):
            taken = taken.taking(line.meanings[which].readings)
    return taken.now(typed=", ".join(line.text for line in lines if not line.meanings))
