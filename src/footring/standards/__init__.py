"""Open standards that a collection goes out in and comes back from, one file each."""
