"""Readings become factors: how likely each reading is under each value of what is hidden."""

from footring.reasoning.channels.build import Alternatives, Channels, compile_channels
from footring.reasoning.channels.factor import SLOTS, Factor
from footring.reasoning.channels.rates import Rates

__all__ = ["SLOTS", "Alternatives", "Channels", "Factor", "Rates", "compile_channels"]
