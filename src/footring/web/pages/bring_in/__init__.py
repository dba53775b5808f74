"""Bringing in what others kept: a spreadsheet of pieces, or a pack."""
