"""Words that forms offer. Others may be typed; common practice, no source."""

from __future__ import annotations

MAKING = (
    "stilt marks", "spur marks", "kiln kiss", "pinholes", "firing crack", "glaze skip", "crawled glaze", "warped",
    "blurred transfer", "second",
)  # fmt: skip
DAMAGE = (
    "chip", "flea bite", "hairline", "crack", "crazing", "stain", "utensil marks", "worn gilding", "ghost of a line",
    "worn decoration", "scratches", "glued", "restored", "drilled",
)  # fmt: skip
SPOTS = (
    "rim",
    "edge",
    "well",
    "inside",
    "foot",
    "foot ring",
    "handle",
    "spout",
    "knob",
    "lid seat",
    "side",
    "decoration",
)
BELONGINGS = ("lid", "base", "saucer", "stand", "liner", "box", "label", "paper", "receipt", "letter")
"""Parts that are examined apart, and what came with a piece."""
SURE = (("", "sure"), ("0.9", "9 in 10 sure"), ("0.7", "7 in 10 sure"), ("0.5", "an even chance"))
"""How sure somebody may be of a reading, as it is kept and in words."""
WAYS = ("bought", "given", "inherited", "exchanged", "found", "lent", "other")
"""How a piece comes into a collection."""
MOST_OFFERED = 500
