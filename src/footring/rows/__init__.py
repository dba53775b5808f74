"""Frozen row classes, one per table, and the same columns as arrays."""
