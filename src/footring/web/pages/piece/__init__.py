"""A piece, as a catalogue entry that is read from top to foot."""
