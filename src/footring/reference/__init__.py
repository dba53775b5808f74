"""Rows, checked, become a reference that the reasoning runs on."""

from footring.reference.check import check
from footring.reference.compile import Reference, compile_reference, extend
from footring.reference.compiled import CompiledTable
from footring.reference.counts import CELL, TREATMENT, Counts
from footring.reference.faults import Fault, ReferenceFaults

__all__ = [
    "CELL",
    "TREATMENT",
    "CompiledTable",
    "Counts",
    "Fault",
    "Reference",
    "ReferenceFaults",
    "check",
    "compile_reference",
    "extend",
]
