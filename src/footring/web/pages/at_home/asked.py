"""What a list was asked for, read from the address and written into it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.http import QueryDict

from footring.web.whole import whole

NAMED = {
    "line": "lines", "form": "forms", "glaze": "glazes", "decoration": "decorations", "trim": "trims", "mark": "marks",
    "maker": "makers", "customer": "customers", "place": "places",
}  # fmt: skip
"""What is chosen by its name, and the table that it stands in."""
YEARS = ("made_from", "made_to", "met_from", "met_to")
STATES = {
    "pictured": ("has a picture", "has no picture yet"),
    "damaged": ("damage noted", "no damage noted"),
    "settled": ("settled by somebody", "not settled yet"),
    "private": ("private", "not private"),
}
"""What holds of a piece or does not, and how either is said."""
ORDERS = {
    "": ("pk", True, "newest"),
    "name": ("by_name", False, "name"),
    "what": ("by_what", False, "what it is"),
    "made": ("made_from", False, "oldest"),
    "met": ("met", True, "met last"),
}
"""Orders of a list: by which column, whether the highest stands first, and what it is called."""


@dataclass(frozen=True)
class Choice:
    """What was asked for.

    Parameters
    ----------
    words : str
        That must occur.
    asked : tuple of (str, str)
        Of `NAMED` the id, of "number" the number, of `YEARS` the year, of `STATES` "yes" or "no".
    order : str
        Of `ORDERS`.
    after : int or None
        The shelved row that the page before ended with.
    after_key : str
        What that row was sorted by.
    """

    words: str = ""
    asked: tuple[tuple[str, str], ...] = ()
    order: str = ""
    after: int | None = None
    after_key: str = ""

    @staticmethod
    def of(given: QueryDict) -> Choice:
        """From an address or a form; what makes no sense is left out."""
        plain = {name: given.get(name, "").strip()[:200] for name in given}
        return Choice(
            plain.get("words", ""),
            tuple((name, plain[name]) for name in (*NAMED, "number", *YEARS, *STATES) if _sensible(name, plain)),
            plain["order"] if plain.get("order") in ORDERS else "",
            whole(plain.get("after", "")),
            plain.get("key", ""),
        )

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """The same, as the fields of a form, from its first page."""
        return [pair for pair in (("words", self.words), *self.asked, ("order", self.order)) if pair[1]]

    @property
    def address(self) -> str:
        """The same, for an address, from its first page."""
        return urlencode(self.pairs)

    @property
    def narrowed(self) -> bool:
        """Whether anything was asked for."""
        return bool(self.words or self.asked)

    def next(self, pk: int, key: object) -> str:
        """The page after the one that ends with a row."""
        return urlencode([*self.pairs, ("after", pk), ("key", key)])

    def without(self, name: str) -> str:
        """The same but for one thing that was asked for."""
        if name == "words":
            return replace(self, words="").address
        return replace(self, asked=tuple(pair for pair in self.asked if pair[0] != name)).address

    def ordered(self, order: str) -> str:
        """The same in another order."""
        return replace(self, order=order).address


def _sensible(name: str, given: dict[str, str]) -> bool:
    value = given.get(name, "")
    if name in YEARS:
        return 0 < (whole(value) or 0) < 3000
    return value in ("yes", "no") if name in STATES else bool(value)
