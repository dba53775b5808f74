"""Evidence becomes an answer with its certainty and its reasons."""
