"""Quoted lettering in a transcription, where quotes are nested, forgotten or doubled."""

from __future__ import annotations

import re

from footring.marks.mark_words import is_about_the_mark, opens_with_technique, shows_device

Piece = tuple[bool, str]
"""Whether it stood in quotes, and the text."""

_CURLY = str.maketrans(dict.fromkeys("“”„‟″«»", '"') | {"\u2019": "'", "\u2018": "'"})
_OPENS_AFTER, _CLOSES_BEFORE = " ([/:;,-", " ,.;:)]/-"
_LEAD = 60
"""Characters within which a clause says how its mark was made."""

_BREAK = re.compile(r";\s|\.\s")


def straight(text: str) -> str:
    """Curly, low and double-angle quotes as straight ones."""
    return text.translate(_CURLY)


def has_quotes(text: str) -> bool:
    """Whether quotes set off lettering; a lone inch sign after a figure does not."""
    at = [i for i, c in enumerate(text) if c == '"']
    return len(at) > 1 or (len(at) == 1 and not text[: at[0]].rstrip()[-1:].isdigit())


def split_quotes(text: str) -> list[Piece]:
    """A text cut at its quotes, from left to right; nothing but quote signs is lost.

    A quote inside a quote stays in it. A quote that was never closed ends at the next clause that says how the
    following mark was made, or with the text. A closing quote that was never opened takes what stands before it.

    Examples
    --------
    >>> split_quotes('impressed: "12"; in red "A')
    [(False, 'impressed: '), (True, '12'), (False, '; in red '), (True, 'A')]
    """
    pieces: list[Piece] = []
    start = depth = looked = 0
    for i in (i for i, c in enumerate(text) if c == '"'):
        way = _way(text, i)
        if depth == 0:
            opening = way == "opens" or (way == "either" and not text[i + 1 : i + 3].strip()[:1].islower())
            pieces += [(False, text[start:i])] if opening else _never_opened(text[start:i], pieces)
            start, depth, looked = i + 1, int(opening), i + 1
        elif way == "opens":
            forgotten = _forgotten_end(text, looked, i)
            looked = i + 1
            if forgotten is None:
                depth += 1
            else:
                pieces += [(True, text[start:forgotten]), (False, text[forgotten:i])]
                start, depth = i + 1, 1
        else:
            depth -= 1
            if depth == 0:
                pieces.append((True, text[start:i]))
                start = i + 1
    pieces.append((depth > 0, text[start:]))
    return [piece for piece in pieces if piece[1].strip()]


def _way(text: str, i: int) -> str:
    before, after = text[i - 1 : i] or " ", text[i + 1 : i + 2] or " "
    opens = before in _OPENS_AFTER and not after.isspace()
    closes = not before.isspace() and after in _CLOSES_BEFORE
    return "either" if opens == closes else "opens" if opens else "closes"


def _forgotten_end(text: str, start: int, stop: int) -> int | None:
    for found in _BREAK.finditer(text, start, stop):
        if opens_with_technique(text[found.end() : min(stop, found.end() + _LEAD)]):
            return found.start()
    return None


def _never_opened(text: str, pieces: list[Piece]) -> list[Piece]:
    """What a closing quote without an opening one belongs to: a new line of the last quote, or lettering of its own."""
    if pieces and pieces[-1][0] and text.lstrip().startswith("/"):
        quoted = pieces.pop()[1]
        return [(True, f"{quoted.rstrip()} / {text.lstrip(' /')}")]
    before, colon, lettering = text.rpartition(":")
    if colon:
        return [(False, before + colon), (True, lettering)]
    first, slash, rest = text.partition("/")
    if slash and (is_about_the_mark(first) or shows_device(first)):
        return [(False, first), (True, rest)]
    return [(True, text)]
