"""The stored collection: what was met, read and concluded, its history, and who may see it."""
