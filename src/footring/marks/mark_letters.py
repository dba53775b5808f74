"""Lettering as a transcriber writes it, with notes in brackets, becomes lettering as it was read."""

from __future__ import annotations

import re
from dataclasses import dataclass

from footring.marks.mark_words import is_word, known_words

_NOTE = re.compile(r"\[([^\[\]]*)\]|\((\?+|[a-z]+)\)")
_BREAK = re.compile(r" /|/ ")
_ATTACHED = re.compile(r"[\w.]$")
_AFTER_FIGURE = re.compile(r"\d $")
_MANY_DOTS = re.compile(r"\.{4,}")
_LOOSE_END = re.compile(r"[\s,;]+\.?$")
_TIGHT = re.compile(r"[^\W\d_]{3}[.)]?/|/[^\W\d_]{3}")
_TIGHT_BREAK = re.compile(r"(?<!\d)/|(?<=\d{3})/|/(?!\d)")


@dataclass(frozen=True, slots=True)
class Lettering:
    """Lettering without its notes.

    Parameters
    ----------
    text : str
        `...` where the reader could not read on; ` / ` is a line break.
    doubtful : bool
        Marked `[?]` or `(?)`, or supplied with a doubt.
    notes : tuple of str
        What stood in brackets and is no lettering: "star", "conjoined", "in script".
    """

    text: str
    doubtful: bool
    notes: tuple[str, ...]


def read_letters(raw: str) -> Lettering:
    """Lettering from what a transcriber wrote between quotes.

    Examples
    --------
    >>> read_letters("MAD[E IN] FRANCE / [star] / 8[?]")
    Lettering(text='MADE IN FRANCE / 8', doubtful=True, notes=('star',))
    """
    out: list[str] = []
    notes: list[str] = []
    doubtful, start = False, 0
    for note in _NOTE.finditer(raw):
        word = note[1] if note[1] is not None else note[2]
        if note[2] is not None and not _says_doubt(word):
            continue
        out.append(raw[start : note.start()])
        text, unsure, said = _meaning(word, raw[max(0, note.start() - 2) : note.start()])
        out.append(text)
        doubtful |= unsure
        notes += said
        start = note.end()
    return Lettering(tidy("".join([*out, raw[start:]])), doubtful, tuple(notes))


def _says_doubt(word: str) -> bool:
    return not word.strip("?. ") or is_word(word, "gap") or is_word(word, "doubt")


def _meaning(note: str, before: str) -> tuple[str, bool, list[str]]:
    """Lettering a note stands for, whether it is doubtful, and what is left of it as a note."""
    attached = bool(_ATTACHED.search(before))
    if not note.strip("?. "):
        return ("", True, []) if attached or _AFTER_FIGURE.search(before) else ("...", False, [])
    if is_word(note, "doubt") or note.startswith("or "):
        return "", True, []
    if any("gap" in known.means for known in known_words(note)):
        supplied = note.partition(":")[2].strip()
        return supplied or "...", bool(supplied), [] if is_word(note, "gap") or supplied else [note]
    if attached:
        return note.replace("?", ""), "?" in note, []
    return "", "?" in note, [note]


def tidy(text: str) -> str:
    """Lettering with line breaks set ` / ` wide, single spaces, and no comma or semicolon at its ends."""
    text = _MANY_DOTS.sub("...", " ".join(text.split()))
    lines = _BREAK.split(text.strip(" /"))
    if _TIGHT.search(text):
        lines = [part for line in lines for part in _TIGHT_BREAK.split(line)]
    lines = [_LOOSE_END.sub("", line.strip(" ,;")) for line in lines]
    return " / ".join(line for line in lines if line)
