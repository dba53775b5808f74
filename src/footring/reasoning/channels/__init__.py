"""Readings become factors: how likely each reading is under each value of what is hidden."""
