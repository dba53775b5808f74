"""Examine: the label that writes itself."""
