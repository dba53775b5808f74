"""What stands on a foot, in parts, and what else was read with it."""

from __future__ import annotations

from dataclasses import dataclass, field

IN_CLAY = frozenset({"impressed", "incised", "raised"})
ON_TOP = frozenset({"printed", "stamped", "painted", "transfer", "pencilled"})


@dataclass(frozen=True, slots=True)
class MarkPart:
    """One thing on a foot.

    Parameters
    ----------
    text : str
        The lettering as read, or the description of a device. `/` is a line break, `?` one unreadable
        character, `...` a gap.
    lettering : bool
        True for lettering proper, False for a description ("crown over a shield", "cipher with 14 flames").
    technique : str or None
        One of `IN_CLAY`, `ON_TOP`, or "label"; None where it was not said.
    colour, place : str or None
        As said.
    under_glaze : bool or None
        Whether it lies under the glaze; None where it was not said.
    doubtful : bool
        The reader marked it as doubtful.
    absent : bool
        Looked for and not there; `text` is then empty.
    p : float
        How sure the reader was of it, above 0, at most 1.
    """

    text: str
    lettering: bool = True
    technique: str | None = None
    colour: str | None = None
    place: str | None = None
    under_glaze: bool | None = None
    doubtful: bool = False
    absent: bool = False
    p: float = 1.0

    @property
    def speaks_of(self) -> tuple[str, ...]:
        """The date a mark made this way bears on: in the clay the potting, a label the sale, else the decorating."""
        if self.technique in IN_CLAY:
            return ("potted",)
        return ("sold",) if self.technique == "label" else ("decorated",)


@dataclass(frozen=True, slots=True)
class Foot:
    """Everything read off the underside of one piece or part. None and empty mean not looked at.

    Parameters
    ----------
    parts : tuple of MarkPart
        The marks, parsed; labels among them have technique "label".
    date_codes, numerals : tuple of MarkPart
        Readings given apart as a date code, or as a figure whose kind is to be found out.
    maker, country, form, body, customer : str or None
        Names as read or known.
    made : str or None
        What is known from elsewhere of the year of decorating, EDTF or typed English.
    made_p : float
        How sure that is, above 0, at most 1.
    """

    parts: tuple[MarkPart, ...] = ()
    date_codes: tuple[MarkPart, ...] = ()
    numerals: tuple[MarkPart, ...] = ()
    maker: str | None = None
    country: str | None = None
    form: str | None = None
    body: str | None = None
    customer: str | None = None
    made: str | None = None
    made_p: float = 1.0
    notes: tuple[str, ...] = field(default=())

    @property
    def lettering(self) -> str:
        """All lettering in one string, parts separated by a line break."""
        return " / ".join(part.text for part in self.parts if part.lettering and not part.absent)
