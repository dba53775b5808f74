"""Where things are known from, what was claimed, and how each source has proved."""
