"""The ways in which pieces are met."""

CHANNELS = (("fair", "Fair tables written down whole", False), ("lot", "Bulk lots", False),
            ("shelf", "Other people's shelves", True), ("letters", "Letters", True), ("books", "Books", True),
            ("eye", "What caught the eye", True))  # fmt: skip
UNSELECTED = 2
"""How many of them, from the first, nobody chose for."""
