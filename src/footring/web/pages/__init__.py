"""One folder a page."""
