"""Footring: turn the piece over and read what stands there."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from footring.marks.readings import Reading as Reading
    from footring.packs import load_pack as load_pack
    from footring.reasoning.date_mark import date_mark as date_mark
    from footring.reasoning.examine import examine as examine
    from footring.reasoning.examine import examine_batch as examine_batch
    from footring.reasoning.finding import Finding as Finding
    from footring.reasoning.model import compile_model as compile_model
    from footring.reference import compile_reference as compile_reference

__version__ = "0.1.0"
__all__ = [
    "Finding",
    "Reading",
    "compile_model",
    "compile_reference",
    "date_mark",
    "examine",
    "examine_batch",
    "load_pack",
]

_HOMES = {
    "Finding": "footring.reasoning.finding",
    "Reading": "footring.marks.readings",
    "compile_reference": "footring.reference",
    "compile_model": "footring.reasoning.model",
    "date_mark": "footring.reasoning.date_mark",
    "examine": "footring.reasoning.examine",
    "examine_batch": "footring.reasoning.examine",
    "load_pack": "footring.packs",
}


def __getattr__(name: str) -> Any:
    """Load a public name from where it lives when it is first asked for, so that starting stays quick."""
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"footring has no {name!r}: its public names are {', '.join(__all__)}")
