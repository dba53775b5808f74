"""Cautions. Never a clearance."""
