"""How one comes in, and goes out."""
