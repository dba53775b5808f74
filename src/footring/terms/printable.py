"""What someone else wrote, as a terminal may show it."""

from __future__ import annotations


def printable(text: str) -> str:
    r"""Text in one line, without characters that steer a terminal or hide in what it shows.

    Parameters
    ----------
    text : str
        From a pack, a file or a reader.

    Returns
    -------
    str
        As long as given: white space of any kind is a space, what has no picture of its own (controls, escapes,
        marks that turn the direction of writing) a `?`.

    Examples
    --------
    >>> printable("Sedge\x1b[2J\u202e\nmatt")
    'Sedge?[2J? matt'
    """
    return "".join(c if c.isprintable() else " " if c.isspace() else "?" for c in text)


def printable_lines(text: str) -> str:
    """The same for text whose line feeds are meant."""
    return "\n".join(map(printable, text.split("\n")))
