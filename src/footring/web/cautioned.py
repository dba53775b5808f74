"""Cautions in the order that a page shows them in."""

from __future__ import annotations

from collections.abc import Iterable

from footring.care.cautions import Caution
from footring.reasoning.label_parts import ALWAYS


def grouped(cautions: Iterable[Caution]) -> dict[str, list[Caution]]:
    """Strong ones, those of this piece, and those that go with every piece; each in the order it was given."""
    groups: dict[str, list[Caution]] = {"first": [], "own": [], "always": []}
    for one in cautions:
        groups["first" if one.first else "always" if one.trigger == ALWAYS else "own"].append(one)
    return groups
