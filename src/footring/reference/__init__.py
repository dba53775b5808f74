"""Rows, checked, become a reference that the reasoning runs on."""
