"""Readings become factors: how likely each reading is under each value of what is hidden."""

from footring.reasoning.channels.build import Alternatives, Channels, compile_channels
from footring.reasoning.channels.factor import SLOTS, Factor
from footring.reasoning.channels.fit import fit_rates, rates_from, tally_without
from footring.reasoning.channels.rates import Rates
from footring.reasoning.channels.tally import tally_readings

__all__ = [
    "SLOTS",
    "Alternatives",
    "Channels",
    "Factor",
    "Rates",
    "compile_channels",
    "fit_rates",
    "rates_from",
    "tally_readings",
    "tally_without",
]
