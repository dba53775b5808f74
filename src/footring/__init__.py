"""Footring: turn the piece over and read what stands there."""

__version__ = "0.1.0"
