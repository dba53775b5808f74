"""What the address of the page holds: the readings, what was ruled out, what is unfolded, what was typed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.http import QueryDict

from footring.marks.readings import Reading, read_reading
from footring.reasoning.channels.build import Channels
from footring.reasoning.reading_words import in_words
from footring.reasoning.typed import fault_of
from footring.terms.errors import BadInput

MOST = 60
"""Readings of one piece that an address may hold."""
_WITH_MARK = ("mark", "mark_kind", "mark_colour", "mark_place")
_WITH_FIGURE = ("numeral", "numeral_kind", "numeral_place")
_SEVERAL = (_WITH_MARK, _WITH_FIGURE, ("label",), ("feature",), ("date_code",), ("placement",))
"""Readings of which a piece may have more than one; those that share a number stand together."""


@dataclass(frozen=True)
class Fault:
    """A reading as given that cannot be used, and why."""

    given: str
    why: str


@dataclass(frozen=True)
class Asked:
    """The state of the page.

    Parameters
    ----------
    readings : tuple of Reading
        That can be used.
    faults : tuple of Fault
        Those that cannot.
    ruled_out : tuple of str
        Things a person says it is not, each as `table/id`.
    of : str
        The piece it is put away as; empty for none.
    open, typed : str
        The word whose alternatives are unfolded; the line to be confirmed. Empty for none.
    """

    readings: tuple[Reading, ...] = ()
    faults: tuple[Fault, ...] = ()
    ruled_out: tuple[str, ...] = ()
    of: str = ""
    open: str = ""
    typed: str = ""

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """What stands in the address whatever is unfolded or typed."""
        given = [("r", written(reading)) for reading in self.readings] + [("r", fault.given) for fault in self.faults]
        return [*given, *(("not", one) for one in self.ruled_out), *([("of", self.of)] if self.of else [])]

    @property
    def address(self) -> str:
        """The query of this state, all of it."""
        extra = [(name, value) for name, value in (("open", self.open), ("t", self.typed)) if value]
        return "?" + urlencode([*self.pairs, *extra])

    def now(self, **changes: object) -> Asked:
        """Another state, with nothing unfolded and nothing to confirm unless it is said."""
        return replace(self, **{"open": "", "typed": "", **changes})

    def opening(self, word: str) -> Asked:
        """With a word unfolded, or folded where it was unfolded."""
        return self.now(open="" if self.open == word else word)

    def without(self, gone: Iterable[Reading]) -> Asked:
        """Without some readings."""
        out = set(gone)
        return self.now(readings=tuple(reading for reading in self.readings if reading not in out))

    def taking(self, new: Sequence[Reading]) -> Asked:
        """With one more look, in place of what was read of the same before."""
        family = next((names for names in _SEVERAL if new[0].name in names), None)
        if family is None:
            gone = [r for r in self.readings if (r.part, r.name) == (new[0].part, new[0].name)]
            return self.without(gone).now(readings=(*self.without(gone).readings, *new))
        gone = [r for r in self.readings if _replaced(r, new)]
        kept = self.without(gone).readings
        index = 1 + max((r.index for r in kept if r.name in family and r.part == new[0].part), default=0)
        return self.now(readings=(*kept, *(replace(reading, index=index) for reading in new)))

    def ruling_out(self, thing: str) -> Asked:
        """With a thing ruled out, or no longer."""
        others = tuple(one for one in self.ruled_out if one != thing)
        out = others if thing in self.ruled_out else (*others, thing)
        return self.now(ruled_out=out, open=self.open)


def _replaced(old: Reading, new: Sequence[Reading]) -> bool:
    """Whether a reading gives way to a new one: what is seen at the same place, or where it was looked for in vain."""
    same = (old.part, old.name) == (new[0].part, new[0].name)
    if same and old.name == "feature":
        return old.value.partition(":")[0] == new[0].value.partition(":")[0]
    return same and (old.absent or new[0].absent or old.value == new[0].value)


def written(reading: Reading) -> str:
    """A reading as `name=value`, so that it is read again as it is."""
    part = f"{reading.part}." if reading.part else ""
    index = f".{reading.index}" if reading.index > 1 else ""
    name, doubt = f"{part}{reading.name}{index}", f" ~{reading.p:g}" if reading.p < 1.0 else ""
    if reading.absent:
        return f"{name}=none{doubt}"
    plain = read_reading(name, reading.value + doubt)
    return f"{name}={reading.value}{doubt}" if plain == reading else f'{name}="{reading.value}"{doubt}'


def asked(query: QueryDict, channels: Channels) -> Asked:
    """The state that an address holds; a reading that cannot be used is kept apart, all others stand."""
    given = query.getlist("r")[:MOST]
    read, faults = list[Reading](), list[Fault]()
    for one in given:
        try:
            reading = _read(one)
        except BadInput as error:
            faults.append(Fault(one, str(error)))
        else:
            read += [_numbered(reading, one, read)] if reading else []
    usable, bad = _usable(read, channels)
    return Asked(
        usable, (*faults, *bad), tuple(dict.fromkeys(query.getlist("not")))[:MOST],
        query.get("of", ""), query.get("open", ""), query.get("t", "").strip(),
    )  # fmt: skip


def _read(given: str) -> Reading | None:
    name, equals, value = given.partition("=")
    if not equals and given.strip():
        raise BadInput(f"{given[:60]!r}: expected name=value, such as glaze=Sedge")
    return read_reading(name, value) if given.strip() else None


def _numbered(reading: Reading, given: str, before: Sequence[Reading]) -> Reading:
    """A second reading of one name, unless the address says which it is."""
    if given.partition("=")[0].rpartition(".")[2].strip().isdigit():
        return reading
    return replace(reading, index=1 + sum((r.part, r.name) == (reading.part, reading.name) for r in before))


def _usable(read: Sequence[Reading], channels: Channels) -> tuple[tuple[Reading, ...], list[Fault]]:
    bad: dict[Reading, str] = {}
    for _, look in in_words(read):
        if why := fault_of(channels, look):
            bad |= dict.fromkeys(look, why)
    faults = [Fault(written(reading), why) for reading, why in bad.items()]
    return tuple(dict.fromkeys(reading for reading in read if reading not in bad)), faults
