"""A spreadsheet of pieces, or a pack, brought in: looked over first, then whole or not at all; taken back at once."""
