"""Who works with a society's collection."""
