"""A mark as typed, or as a museum transcribes it, becomes its parts."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from footring.marks.foot import MarkPart
from footring.marks.mark_letters import read_letters, tidy
from footring.marks.mark_quotes import Piece, has_quotes, split_quotes, straight
from footring.marks.mark_words import (
    Said,
    is_about_the_mark,
    is_word,
    known_words,
    opens_with_technique,
    said,
    shows_device,
    without_words,
)
from footring.terms.errors import BadInput

MOST_CHARACTERS = 10_000

_SECTION = re.compile(r"\s*(?:inscribed|signed|inscription|marks?)\s*:\s*(?=\S)", re.IGNORECASE)
_STOP = re.compile(r"\([^()]*\)(?!\s+[A-Z])|(;)|(\|\|)|([.)]\s+)(?=[A-Z])")
_SHORT_LETTERING = re.compile(r"[A-Z0-9][A-Z0-9 .&/-]*")
_BRACKETS = re.compile(r"\[[^\[\]]*\]")
_FIGURE = re.compile(r"(?<![\w-])\d{3,}(?![\w-])")
_FULL_STOP = re.compile(r"(?<![A-Z])\.$")
_CAPITALS = re.compile(r"[A-Z][A-Z0-9&.'\- ]{2,}[A-Z.]")
_LONG_WORD = re.compile(r"[A-Z][^\W\d_]{3}")
_WORD = re.compile(r"[^\s/]+")

Clause = list[Piece]


def parse_mark(text: str) -> tuple[MarkPart, ...]:
    """Parts of a mark from its text.

    Parameters
    ----------
    text : str
        Either as typed (`QUILLOW & T?RN / ORMSLEY`: `?` one unreadable character, `...` a gap, `/` a line break),
        or a transcription that says how and where each part stands (`On base, stamped in green: "..."; impressed:
        "..."`). `none` is looked for and not there; empty is not looked at.

    Returns
    -------
    tuple of MarkPart
        In the order of the text. Words that describe a device, and notes in brackets, are parts that are not
        lettering. Nothing is guessed: what was not said is None.

    Raises
    ------
    BadInput
        If the text is longer than 10,000 characters.

    Examples
    --------
    >>> [(p.text, p.technique, p.colour) for p in parse_mark('In green: "QUILLOW & TARN"; impressed: "417"')]
    [('QUILLOW & TARN', None, 'green'), ('417', 'impressed', None)]
    >>> parse_mark("none")[0].absent
    True
    """
    if len(text) > MOST_CHARACTERS:
        raise BadInput(
            f"a mark of {len(text):,} characters is too long: at most {MOST_CHARACTERS:,} are read; "
            "give the mark's own wording only"
        )
    plain = straight(text).strip()
    if is_word(plain, "absent"):
        return (MarkPart("", absent=True),)
    return tuple(_kept(_transcribed(plain) if _is_transcription(plain) else _typed(plain)))


def technique_named(word: str) -> str:
    """The technique a word stands for: one of those a `MarkPart` may have.

    Raises
    ------
    BadInput
        If the word names no technique.

    Examples
    --------
    >>> technique_named("rubber-stamped"), technique_named("decal")
    ('stamped', 'printed')
    """
    found = said(word).technique
    if found is None:
        raise BadInput(
            f"no way of marking is called {word!r}: expected impressed, incised, raised, printed, stamped, painted, "
            "pencilled or label"
        )
    return found


def _kept(parts: Iterable[MarkPart]) -> Iterator[MarkPart]:
    """Parts without empty ones, and each absence said once."""
    absent: list[MarkPart] = []
    for part in parts:
        if part not in absent and (part.text or part.absent):
            yield part
        absent += [part] if part.absent else []


def _is_transcription(text: str) -> bool:
    if "||" in text or has_quotes(text):
        return True
    return any(_is_lead(clause) for clause in text.split(";")) or (
        "/" not in text and shows_device(text) and not text.isupper()
    )


def _is_lead(clause: str) -> bool:
    before, colon, _ = clause.partition(":")
    lead = colon and is_about_the_mark(before) and said(before) != Said() and not before.isupper()
    return bool(lead) or opens_with_technique(clause)


def _typed(text: str) -> Iterator[MarkPart]:
    """Lines of lettering as one part; lines that describe a device as parts of their own."""
    lines = [line.strip() for line in text.replace("\n", " / ").split(" / ")]
    letters = " / ".join(line for line in lines if line and not _is_device_line(line))
    if letters:
        yield MarkPart(tidy(letters), doubtful="(?)" in letters or "[?]" in letters)
    for line in lines:
        if line and _is_device_line(line):
            yield MarkPart(line, lettering=False)


def _is_device_line(line: str) -> bool:
    return shows_device(line) and not any(c.isupper() or c.isdigit() for c in line)


def _transcribed(text: str) -> Iterator[MarkPart]:
    carried = Said()
    for starts_afresh, clause in _clauses(split_quotes(" ".join(text.split()))):
        if starts_afresh:
            carried = Said()
        parts, carried = _clause_parts(clause, carried)
        yield from parts


def _clauses(pieces: Iterable[Piece]) -> Iterator[tuple[bool, Clause]]:
    """Clauses, each with whether it opens a new section in which nothing said before holds."""
    clause: Clause = []
    afresh = True
    for quoted, text in pieces:
        if quoted:
            clause.append((True, text))
            continue
        if clause and clause[-1][0] and text.lstrip().startswith("/"):
            yield afresh, clause
            clause, afresh, text = [], False, text.lstrip(" /")
        start = 0
        for stop in _stops(text):
            clause.append((False, text[start : stop.start()]))
            yield afresh, clause
            clause, afresh, start = [], stop[2] is not None, stop.end()
        clause.append((False, text[start:]))
    yield afresh, clause


def _stops(text: str) -> Iterator[re.Match[str]]:
    """Semicolons, section bars, and full stops before a word that tells of a mark."""
    words = {known.start for known in known_words(text)}
    return (stop for stop in _STOP.finditer(text) if stop[1] or stop[2] or (stop[3] and stop.end() in words))


def _clause_parts(clause: Clause, carried: Said) -> tuple[list[MarkPart], Said]:
    """Parts of one clause, and what of it holds for the clauses that follow."""
    quotes = [i for i, (quoted, _) in enumerate(clause) if quoted]
    if not quotes:
        return _unquoted(" ".join(text for _, text in clause), carried)
    parts: list[MarkPart] = []
    own = Said()
    for quoted, text in clause[: quotes[-1] + 1]:
        if quoted:
            parts += _quoted(text, _holding(own, carried))
            continue
        own = said(text).filled(Said(place=own.place)) if said(text).how else own.filled(said(text))
        parts = _doubted(parts, text)
        parts += _around(text, _holding(own, carried))
    after = " ".join(text for _, text in clause[quotes[-1] + 1 :])
    told = said(_BRACKETS.sub(" ", after))
    parts = _doubted(parts, after)
    if told.how:
        parts = [_with(part, told, keep=own.how) for part in parts]
    return parts + _around(after, _holding(own.filled(told), carried)), _holding(own, carried)


def _holding(own: Said, carried: Said) -> Said:
    """What holds in a clause: its own words, else all of the one before; a new place ends how the last was made."""
    if own.how:
        return own.filled(Said(place=carried.place))
    return own if own.place else carried


def _with(part: MarkPart, after: Said, *, keep: bool) -> MarkPart:
    own = Said(part.technique, part.colour, part.place, part.under_glaze)
    return _part(part, own.filled(after) if keep else after.filled(Said(place=own.place)))


def _part(part: MarkPart, how: Said) -> MarkPart:
    return replace(part, technique=how.technique, colour=how.colour, place=how.place, under_glaze=how.under_glaze)


def _quoted(raw: str, how: Said) -> list[MarkPart]:
    letters = read_letters(raw)
    parts = [MarkPart(letters.text, doubtful=letters.doubtful)] if letters.text else []
    parts += [MarkPart(note, lettering=False) for note in letters.notes]
    return [_part(part, how) for part in parts]


def _doubted(parts: list[MarkPart], text: str) -> list[MarkPart]:
    """The last part marked doubtful where the words after it begin with a doubt in brackets."""
    note = text.lstrip()[:1] in ("(", "[") and read_letters("x" + text.lstrip().split(")")[0].split("]")[0] + "]")
    if parts and note and note.doubtful:
        return [*parts[:-1], replace(parts[-1], doubtful=True)]
    return parts


def _around(text: str, how: Said) -> list[MarkPart]:
    """Devices described, short lettering, further lines, and what follows a colon, in the words around a quote."""
    lead, value = _lead_and_value(_without_section(text), shows_device)
    first, *lines = lead.split(" / ")
    parts = [part for piece in first.split(",") for part in _loose(piece.strip(" ."))]
    parts += [MarkPart(tidy(line.strip(" ."))) for line in lines if line.strip() and _reads_as_lettering(line)]
    return [_part(part, how) for part in parts] + (_values(value, how) if value else [])


def _loose(piece: str) -> list[MarkPart]:
    if _SHORT_LETTERING.fullmatch(piece) and not is_about_the_mark(piece):
        return [MarkPart(tidy(piece))]
    return _described(without_words(piece)) if shows_device(piece) else []


def _described(text: str) -> list[MarkPart]:
    """A description, and the lettering that stands out in it: words in capitals, figures of three digits and more."""
    standing_out = [found[0].strip() for found in _CAPITALS.finditer(text) if _LONG_WORD.search(found[0])]
    standing_out += _FIGURE.findall(text)
    return [MarkPart(text, lettering=False), *map(MarkPart, standing_out)]


def _without_section(text: str) -> str:
    section = _SECTION.match(text)
    return text[section.end() :] if section else text


def _unquoted(text: str, carried: Said) -> tuple[list[MarkPart], Said]:
    text = _without_section(text).strip()
    lead, value = _lead_and_value(text)
    own = said(lead) if value else said(text)
    if not own.how and shows_device(value):
        own = own.filled(said(value))
    how = _holding(own, carried)
    if value:
        return _values(value, how), how
    rest = without_words(text)
    if is_word(rest, "absent"):
        return [_part(MarkPart("", absent=True), own)], carried
    if not rest or (not _reads_as_lettering(rest) and not shows_device(rest)):
        rest = text if shows_device(text) or (text and not is_about_the_mark(text)) else ""
    return (_values(rest, how) if rest else []), how


def _lead_and_value(text: str, also: Callable[[str], bool] = lambda _: False) -> tuple[str, str]:
    """The words that tell of the mark, and what follows their last colon."""
    start, colon = 0, text.find(":")
    while colon >= 0 and (is_about_the_mark(text[start:colon]) or also(text[start:colon])):
        start, colon = colon + 1, text.find(":", colon + 1)
    value = text[start:].strip() if start else ""
    return (text, "") if is_about_the_mark(value) else (text[:start] or text, value)


def _values(text: str, how: Said) -> list[MarkPart]:
    """Unquoted lettering and descriptions, cut at commas; a figure after a description belongs to it."""
    runs: list[tuple[bool, list[str]]] = []
    for piece in (piece.strip() for piece in _FULL_STOP.sub("", text).split(",")):
        lettering = not shows_device(piece)
        if lettering and runs and not runs[-1][0] and not _LONG_WORD.search(piece):
            lettering = False
        if runs and runs[-1][0] == lettering:
            runs[-1][1].append(piece)
        else:
            runs.append((lettering, [piece]))
    return [part for lettering, run in runs for part in _run(", ".join(run), lettering, how)]


def _run(text: str, lettering: bool, how: Said) -> list[MarkPart]:
    if is_word(text, "absent"):
        return [_part(MarkPart("", absent=True), how)]
    if lettering:
        return _quoted(text, how)
    return [_part(part, how) for part in _described(without_words(text) or text.strip())]


def _reads_as_lettering(text: str) -> bool:
    words = _WORD.findall(text)
    return 2 * sum(not word[0].islower() for word in words) >= len(words)
