"""How far each source has proved right, from what pieces in the hand bear out."""
