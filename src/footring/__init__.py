"""Footring: turn the piece over and read what stands there."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from footring.marks.readings import Reading as Reading
    from footring.packs import load_pack as load_pack
    from footring.reasoning.date_mark import date_mark as date_mark
    from footring.reference import compile_reference as compile_reference

__version__ = "0.1.0"
__all__ = ["Reading", "compile_reference", "date_mark", "load_pack"]

_HOMES = {
    "Reading": "footring.marks.readings",
    "compile_reference": "footring.reference",
    "date_mark": "footring.reasoning.date_mark",
    "load_pack": "footring.packs",
}


def __getattr__(name: str) -> Any:
    """Load a public name from where it lives when it is first asked for, so that starting stays quick."""
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"footring has no {name!r}: its public names are {', '.join(__all__)}")
