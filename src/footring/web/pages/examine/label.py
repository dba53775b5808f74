"""The label: sentences of words that were read, words that are concluded, and blanks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from footring.marks.readings import Reading
from footring.reasoning.channels.build import Channels
from footring.reasoning.channels.named import word_key
from footring.reasoning.finding import Finding, Share
from footring.reasoning.label_parts import made, potted_earlier
from footring.reasoning.label_text import LIKELIER, SURE, WORTH_TELLING, chance
from footring.reasoning.reading_words import in_words, reading_rows
from footring.reasoning.thing_names import TABLE_OF
from footring.web.pages.examine.asked import Asked

READ_AS = {
    "maker": "maker", "line": "line", "form": "form", "size": "trade_size", "body": "body", "glaze": "glaze",
    "decoration": "decoration", "trim": "trim", "number": "number", "customer": "customer",
}  # fmt: skip
"""The reading that speaks of each attribute by its name."""
_SIZED = ("across", "height", "capacity")
_ON_THE_FOOT = ("mark", "label", "numeral", "date_code")
_BLANKS = {
    "maker": "which maker?", "line": "which line?", "form": "which {form}?", "body": "which body?",
    "glaze": "which glaze?", "decoration": "which decoration?", "trim": "which edge?", "number": "which number?",
    "in_clay_mark": "what in the clay?", "printed_mark": "what is printed?",
}  # fmt: skip
_NONE = {"trim": "no edge line", "decoration": "no decoration", "number": "no number", "customer": "nobody named"}


@dataclass(frozen=True)
class Word:
    """One stretch of a label.

    `kind`: plain, seen, think or blank; `open`: what it unfolds; `href`: where it leads; `first`: whether no word
    before it unfolds the same.
    """

    text: str
    kind: str = "plain"
    chance: str = ""
    open: str = ""
    href: str = ""
    first: bool = False


@dataclass(frozen=True)
class Label:
    """The sentences about one part, in order."""

    sentences: tuple[tuple[Word, ...], ...]
    part: str = ""

    def linked(self, state: Asked) -> Label:
        """With the address that each word leads to."""
        met: set[str] = set()
        return replace(self, sentences=tuple(tuple(_linked(w, state, met) for w in one) for one in self.sentences))

    @property
    def plain(self) -> str:
        """All of it as text, for who cannot see it change."""
        return " ".join("".join(word.text + _spoken(word) for word in one) for one in self.sentences)


def _linked(word: Word, state: Asked, met: set[str]) -> Word:
    if not word.open:
        return word
    first = word.open not in met
    met.add(word.open)
    return replace(word, href=state.opening(word.open).address, first=first)


def _spoken(word: Word) -> str:
    return f" ({word.chance})" if word.chance else ""


class Writing:
    """A label being written from a finding.

    Parameters
    ----------
    finding : Finding or None
        None where nothing was read: every word is then a blank.
    channels : Channels
    form_word : str
        What the reader calls a form.
    """

    def __init__(self, finding: Finding | None, channels: Channels, form_word: str = "form") -> None:
        self.finding, self.channels, self.form_word = finding, channels, form_word
        self.readings: Sequence[Reading] = finding.readings if finding else ()
        self.part = "lid." if any(r.part == "lid" for r in self.readings) else ""
        self.used: set[Reading] = set()

    def label(self) -> Label:
        """The whole label."""
        if self.finding is not None and (not self.finding.marginals or self.finding.outside > LIKELIER):
            sentences = [self._outside(), *self._foot(), self._made()]
        else:
            sentences = [self._what(), self._treatment(), *self._foot(), self._marks()]
            sentences += [self._made(), *self._doubts()] if self.finding else []
        sentences += [*self._also(), *self._in_vain()]
        return Label(tuple(tuple(one) for one in sentences if one), self.part.removesuffix("."))

    # ---- words

    def _of(self, name: str) -> Word:
        """The word for one attribute."""
        reading = next((r for r in self.readings if r.name == READ_AS.get(name)), None)
        shares = self.finding.marginals.get(name, []) if self.finding and self.readings else []
        best = shares[0] if shares and shares[0][1] >= LIKELIER and shares[0][0] != "unknown" else None
        if reading is not None:
            self.used.add(reading)
            return self._read(name, reading, best)
        if best is None or self.finding is None:
            return Word(_BLANKS.get(name, f"which {name}?").format(form=self.form_word), "blank", "", self.part + name)
        return Word(self._value(name, best), "think", sure(best[1]), self.part + name)

    def _read(self, name: str, reading: Reading, best: Share | None) -> Word:
        """A word that was read: the name of the likeliest where it is called so and is nearly sure, else as read."""
        if reading.absent:
            return Word(_NONE.get(name, f"no {name}"), "seen", "", self.part + name)
        told = self._stands(name, reading, best)
        text = self._value(name, best) if told and best is not None else reading.value
        doubts = ["doubtful" if reading.p < 1.0 else "", sure(best[1]) if told and best and best[1] < SURE else ""]
        return Word(text, "seen", ", ".join(filter(None, doubts)), self.part + name)

    def _stands(self, name: str, reading: Reading, best: Share | None) -> bool:
        """Whether the likeliest value stands in the place of what was read."""
        if best is None or not self._names(name, reading.value, best):
            return False
        return best[1] >= SURE or word_key(reading.value) == word_key(best[0])

    def _names(self, name: str, typed: str, best: Share) -> bool:
        """Whether what was typed is a name of the likeliest value."""
        if word_key(typed) == word_key(best[0]):
            return True
        if best[2] is None or name == "number":
            return False
        row = self.channels.reference.tables[TABLE_OF[name]].ids.find(best[2])
        named = self.channels.vocabulary(READ_AS[name]).named
        return row in named.called(word_key(typed))[0].tolist()

    def _value(self, name: str, share: Share) -> str:
        if share[0] == "new":
            return f"{article(name)} {name.replace('_', ' ')} that is not in your reference"
        if share[0] == "none" or self._is_nothing(name, share):
            return _NONE.get(name, "nothing")
        return f"“{share[0]}”" if name.endswith("_mark") else share[0]

    def _is_nothing(self, name: str, share: Share) -> bool:
        """Whether it stands for there being none, as a decoration called plain."""
        if name not in ("trim", "decoration") or share[2] is None:
            return False
        nothing = self.channels.vocabulary(name).named.nothing
        return nothing is not None and bool(nothing[self.channels.reference.tables[TABLE_OF[name]].ids.find(share[2])])

    def _rather(self, name: str, word: Word) -> Iterator[Word]:
        """What it likely is, where that is another thing than was read or more than was said."""
        shares = self.finding.marginals.get(name, []) if self.finding else []
        if word.kind == "seen" and shares and shares[0][1] >= LIKELIER and shares[0][2]:
            reading = next(r for r in self.readings if r.name == READ_AS[name])
            if not reading.absent and not self._stands(name, reading, shares[0]):
                yield Word(", that is, " if self._names(name, reading.value, shares[0]) else ", likelier ")
                yield Word(self._value(name, shares[0]), "think", sure(shares[0][1]), f"{self.part}{name}")

    def _with(self, name: str) -> list[Word]:
        word = self._of(name)
        return [word, *self._rather(name, word)]

    def _seen(self, names: Iterable[str]) -> Iterator[Word]:
        """Readings as they were read, one look a word."""
        for words, look in in_words(self.readings):
            if look[0].name in names and not look[0].absent:
                self.used.update(look)
                told = words.removeprefix(f"{look[0].part}: ") if look[0].part else words
                yield Word(told, "seen", "", "r." + key_of(look))

    # ---- sentences

    def _what(self) -> list[Word]:
        form = self._with("form")
        form[0] = Word(lowered(form[0].text) if form[0].kind != "blank" else form[0].text, *_rest(form[0]))
        sizes = list(self._seen(_SIZED)) or self._trade_size()
        return [
            Word("The " if self.part else f"{article(form[0].text).capitalize()} "), *form,
            *(w for size in sizes for w in (Word(", "), size)),
            Word(" of the "), *self._with("line"), Word(" line, by "), *self._with("maker"), Word("."),
        ]  # fmt: skip

    def _trade_size(self) -> list[Word]:
        word = self._of("size")
        return [Word(f"size {word.text}", *_rest(word))] if word.kind != "blank" and "new" not in word.text else []

    def _treatment(self) -> list[Word]:
        number, technique = self._with("number"), list(self._seen(("technique", "placement", "effect")))
        plain = [] if number[0].text.startswith("no ") else [Word("number ")] if number[0].kind != "blank" else []
        body = self._with("body")
        return [
            Word(body[0].text, *_rest(body[0])), *body[1:], Word(" under "), *self._with("glaze"),
            Word(" glaze, with "), *self._with("decoration"), *(w for one in technique for w in (Word(", "), one)),
            Word(", "), *self._with("trim"), Word(" and "), *plain, *number, *self._customer(), Word("."),
        ]  # fmt: skip

    def _customer(self) -> list[Word]:
        word = self._of("customer")
        return [Word(", made for "), word] if word.kind != "blank" and word.text != _NONE["customer"] else []

    def _foot(self) -> Iterator[list[Word]]:
        words = list(self._seen(_ON_THE_FOOT))
        if words:
            yield [Word("On the foot: "), *joined(words), Word(".")]

    def _marks(self) -> list[Word]:
        if self.finding and not self.readings:
            return []
        return [
            Word("In the clay: "),
            self._of("in_clay_mark"),
            Word("; printed: "),
            self._of("printed_mark"),
            Word("."),
        ]

    def _made(self) -> list[Word]:
        if self.finding is None:
            return []
        told = made(self.finding.dates["decorated"])
        return [Word(" ".join([told, *potted_earlier(self.finding.dates)]))]

    def _doubts(self) -> Iterator[list[Word]]:
        if self.finding is None:
            return
        if self.finding.outside >= WORTH_TELLING:
            told = chance(self.finding.outside)
            yield [Word(f"Its maker or line may also be one that is not in your reference ({told}).")]
        if self.finding.unrecorded > LIKELIER:
            yield [Word(f"As a whole it was not recorded before ({chance(self.finding.unrecorded)}).")]
        if self.finding.together:
            yield [Word(self.finding.together)]

    def _outside(self) -> list[Word]:
        if self.finding is None or not self.finding.marginals:
            return [Word("Your reference holds no lines yet: only the general rules speak here.")]
        told = chance(self.finding.outside)
        return [
            Word(f"Not in your reference, {told}: its maker or line is none that you have a record of. Nearest is "),
            Word(self.finding.marginals["line"][0][0], "think", "", self.part + "line"), Word("."),
        ]  # fmt: skip

    def _also(self) -> Iterator[list[Word]]:
        names = {r.name for r in self.readings if not r.absent and r not in self.used}
        if words := list(self._seen(names)):
            yield [Word("Also read: "), *joined(words), Word(".")]

    def _in_vain(self) -> Iterator[list[Word]]:
        words = [
            Word(reading_rows()[look[0].name]["thing"] or look[0].name, "seen", "", "r." + key_of(look))
            for _, look in in_words(self.readings)
            if look[0].absent and look[0] not in self.used
        ]
        if words:
            self.used.update(r for r in self.readings if r.absent)
            yield [Word("Looked for and not found: "), *joined(words), Word(".")]


def _rest(word: Word) -> tuple[str, str, str]:
    return word.kind, word.chance, word.open


def sure(p: float) -> str:
    """A chance as it stands small beside a word."""
    return "nearly sure" if p > 0.99 else chance(p)


def article(word: str) -> str:
    """A or an."""
    return "an" if word[:1].lower() in "aeiou" else "a"


def lowered(text: str) -> str:
    """A name within a sentence."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def joined(words: Sequence[Word]) -> list[Word]:
    """Words with commas between."""
    return [w for word in words for w in (word, Word(", "))][:-1]


def key_of(look: Sequence[Reading]) -> str:
    """What a look is called in the address: its part, its name and which of several."""
    head = look[0]
    return f"{head.part or ''}.{head.name}.{head.index}"
