"""What a few typed words may mean, each rule on its own."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache

from footring.marks.mark_words import known_words, opens_with_technique, said
from footring.marks.readings import NAMES, Reading, read_reading
from footring.reasoning.channels.build import Channels
from footring.reasoning.channels.named import word_key
from footring.reasoning.reading_words import reading_rows
from footring.reasoning.typed_clauses import led, trailed, words_of
from footring.terms.errors import BadInput
from footring.terms.units import parse_capacity, parse_length

Meant = tuple[float, tuple[Reading, ...]]
"""How much of the meaning of some words this is, and the readings."""
Rule = Callable[[Channels, str], Iterator[Meant]]

SHORTEST = 4
"""Letters from which a word may be a name with one of them wrong."""
_NAME = re.compile(r"(?P<name>(?:(?:lid|base)\.)?[a-z_]+(?:\.[0-9]{1,2})?)\s*=\s*(?P<value>.+)", re.DOTALL)
_FIGURE = re.compile(
    r"(?=.*[0-9])(?:[A-Z?]{1,4}[-/. ]?|[a-z])?[0-9?]+[A-Z?0-9]*[a-z]?(?:[-/. ][0-9?A-Z]{1,6}|[-/][a-z])*"
)
_NUMBERED = re.compile(r"no\.?\s*(?=[0-9])", re.IGNORECASE)
_YEAR = re.compile(r"1[789][0-9]{2}|200[0-9]|2010")
_MEASURES = ("across", "height", "capacity")


@cache
def _typed() -> dict[str, str]:
    """The reading that each typed word stands for, the longest word first."""
    words = {word: name for name, row in reading_rows().items() for word in row["typed"].split("|") if word}
    return dict(sorted(words.items(), key=lambda item: -len(item[0])))


def is_whole(channels: Channels, clause: str) -> bool:
    """Whether a clause gives a lettering or what is seen at one place, which may hold commas."""
    found = led(clause, [word for word, name in _typed().items() if name in ("mark", "label")])
    return bool(found and found[1]) or _place(channels, clause) is not None


def explicit(_: Channels, text: str) -> Iterator[Meant]:
    """A reading by its name: `glaze: sedge`, `no. 417`, `number=417`, `date code none`."""
    if (named := _NAME.fullmatch(text)) and named["name"].rpartition(".")[0] in ("", "lid", "base", named["name"]):
        if named["name"].split(".")[-1] in NAMES and (one := read_reading(named["name"], named["value"])):
            yield 1.0, (one,)
        return
    if numbered := _NUMBERED.match(text):
        yield 1.0, (Reading("number", text[numbered.end() :]),)
        return
    found = led(text, list(_typed()))
    if found and found[1]:
        name, value = _typed()[found[0]], found[1].strip().removeprefix("of ")
        if name == "decoration" and value[0].isdigit():
            name = "number"
        if name == "trade_size" and _is_length(value):
            name = "across"
        absent = value.casefold() in words_of("nothing")
        yield 1.0, (Reading(name, "" if absent else value.strip('"'), absent=absent),)


def absence(_: Channels, text: str) -> Iterator[Meant]:
    """Something looked for and not there: `no date code`, `unmarked`, `edge line: none`."""
    before, after = led(text, list(words_of("absent"))), trailed(text, list(words_of("nothing")))
    if text.casefold() in words_of("unmarked"):
        yield 1.0, (Reading("mark", "", absent=True),)
    for thing in (before and before[1], after and after[1]):
        if thing and (name := _thing(thing)):
            yield 1.0, (Reading(name, "", absent=True),)
            return


def _thing(text: str) -> str | None:
    """The reading that some words are the name of."""
    plain = text.casefold().removeprefix("any ").removeprefix("a ").removeprefix("visible ")
    return _typed().get(plain) or _typed().get(plain.removesuffix("s"))


def _place(channels: Channels, text: str) -> tuple[str, str] | None:
    places = channels.places
    return led(text, sorted(places, key=lambda place: -len(place))) if ":" in text else None


def feature(channels: Channels, text: str) -> Iterator[Meant]:
    """What is seen at the place where two forms differ, with the place or, where it says all, without."""
    key = word_key(text)
    if found := _place(channels, text):
        yield 1.0, (Reading("feature", f"{channels.places[found[0]]}: {found[1]}"),)
        return
    for place, written in channels.places.items():
        if key in channels.features(place).named.words and len(key.split()) > 1:
            yield 0.9, (Reading("feature", f"{written}: {text}"),)


def measure(_: Channels, text: str) -> Iterator[Meant]:
    """A length or a capacity; which length it is where the words do not say it is taken to be across, or high."""
    sized = [word for word, name in _typed().items() if name in _MEASURES]
    ends = trailed(text, sized)
    name, value = (_typed()[ends[0]], ends[1]) if ends else (None, text)
    if _parses(parse_capacity, value):
        yield 1.0, (Reading("capacity", value),)
    elif _is_length(value):
        yield from [(1.0, (Reading(name, value),))] if name else _either(value)


def _either(value: str) -> Iterator[Meant]:
    yield 0.8, (Reading("across", value),)
    yield 0.2, (Reading("height", value),)


def _is_length(text: str) -> bool:
    return _parses(parse_length, text)


def _parses(parse: Callable[[str], object], text: str) -> bool:
    try:
        parse(text)
    except BadInput:
        return False
    return True


def fault_in(text: str) -> str | None:
    """Why what looks like a measurement, or like `name=value`, is none; None for what does not look like one."""
    if named := _NAME.fullmatch(text):
        try:
            read_reading(named["name"], named["value"])
        except BadInput as error:
            return str(error)
    return _measure_fault(text)


def loose_words(text: str) -> str | None:
    """What was said of a figure that counts for nothing alone: its colour or place without how it was put there."""
    how, _ = _how(text)
    if not how or said(how).technique:
        return None
    return f"“{how}” counts with how the figure was put there: printed, painted, stamped, impressed, incised or raised"


def _measure_fault(text: str) -> str | None:
    """Why what looks like a measurement is none; None for what does not look like one."""
    ends = trailed(text, [word for word, name in _typed().items() if name in _MEASURES])
    value = ends[1] if ends else text
    if not ends and not re.fullmatch(r"[0-9][0-9 ./,]*\s*[a-z\"]{1,5}\.?", value.casefold()):
        return None
    parse = parse_capacity if ends and _typed()[ends[0]] == "capacity" else parse_length
    try:
        parse(value)
    except BadInput as error:
        return str(error)
    return None


def figure(channels: Channels, text: str) -> Iterator[Meant]:
    """A figure on the foot, with how it was put there: `417`, `417 green printed`, `impressed 3/417`."""
    how, rest = _how(text)
    if not rest or not (_FIGURE.fullmatch(rest) or word_key(rest) in channels.written_codes):
        return
    known = word_key(rest) in channels.written_codes
    kind = (Reading("numeral_kind", how),) if how and said(how).technique else ()
    number, numeral = (Reading("number", rest),), (Reading("numeral", rest), *kind)
    yield (0.9 if known and not kind else 0.3), number
    yield (0.3 if known and not kind else 0.6), numeral
    if any(c.isalpha() for c in rest) and len(rest) <= 3 and not how and not rest.endswith("s"):
        yield 0.5, (Reading("date_code", rest),)
    if _YEAR.fullmatch(rest) and not how:
        yield 0.2, (Reading("made", rest),)


def _how(text: str) -> tuple[str, str]:
    """Words that say how, in what colour and where a figure stands; and the figure."""
    words = [w for w in known_words(text) if w.means.keys() & {"technique", "colour", "place", "glaze"}]
    rest, how = text, list[str]()
    for word in reversed(words):
        rest = rest[: word.start] + rest[word.stop :]
        how.insert(0, word.word)
    fillers = words_of("filler")
    return " ".join(how), " ".join(w for w in rest.replace(",", " ").split() if w.casefold() not in fillers)


def lettering(_: Channels, text: str) -> Iterator[Meant]:
    """Capitals, quotes, or how a mark was made before them, are the lettering of a mark."""
    letters = [word for word in re.findall(r"[^\W\d_]+", text) if len(word) > 1]
    capitals = [word for word in letters if word.isupper()]
    marked = capitals and (len(capitals) == len(letters) or opens_with_technique(text))
    if text.startswith('"') and text.endswith('"') and len(text) > 2:
        yield 1.0, (Reading("mark", text[1:-1]),)
    elif marked or led(text, list(words_of("lettering"))):
        yield 1.0, (Reading("mark", text),)


def naming(channels: Channels, text: str) -> Iterator[Meant]:
    """Names of the reference, and names with one letter wrong."""
    for name, share in words_of("likely").items():
        if p := _called(channels, name, text) or _misspelt(channels, name, text):
            yield float(share) * p, (Reading(name, text),)


def exact_naming(channels: Channels, text: str) -> Iterator[Meant]:
    """Names of the reference as they are."""
    for name, share in words_of("likely").items():
        if p := _called(channels, name, text):
            yield float(share) * p, (Reading(name, text),)


def _called(channels: Channels, name: str, text: str) -> float:
    """How often the thing that is best called so is called so; 0 where nothing is."""
    words = channels.vocabulary(name)
    return float(words.p(text).max()) if word_key(text) in words.named.words else 0.0


def _misspelt(channels: Channels, name: str, text: str) -> float:
    """The same for a name with one letter wrong."""
    words, key = channels.vocabulary(name), word_key(text)
    if len(key) < SHORTEST or not words.named.words:
        return 0.0
    p = words.p(text)
    return float(p.max()) if words.is_misspelt(int(p.argmax()), key) else 0.0
