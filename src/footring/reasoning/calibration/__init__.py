"""How good answers are: scores of probabilities against what turned out to be true."""
