"""Help: the first five minutes, the words, how to look."""
