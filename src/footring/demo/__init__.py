"""The invented pottery."""
