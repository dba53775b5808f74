"""The pages: what a collector sees and does in a browser."""
