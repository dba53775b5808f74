"""Readings become factors."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import log
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.marks.mark_words import said
from footring.marks.numerals import kind_named
from footring.marks.readings import Reading, figure_technique
from footring.marks.transcription import technique_named
from footring.reasoning.channels.codes import Codes, Figure, as_another_kind, chances
from footring.reasoning.channels.colour import GlazeColours, parse_colour
from footring.reasoning.channels.factor import SLOTS, Factor
from footring.reasoning.channels.grouped import Group, grouped
from footring.reasoning.channels.likelihood import Likelihood, Presence, absent, present
from footring.reasoning.channels.marks import KnownLabels, KnownMarks, MarkRead, marks_read
from footring.reasoning.channels.named import Named, word_key
from footring.reasoning.channels.names import Vocabulary
from footring.reasoning.channels.naming import SPEAKS_OF, features_for, labs_of, named_for
from footring.reasoning.channels.rates import Rates
from footring.reasoning.channels.sizes import COLUMNS, Measures, inches, parse_measure, rounding
from footring.reference import Reference
from footring.terms.errors import BadInput

Floats = NDArray[np.float64]
Alternatives = tuple[tuple[float, tuple[Factor, ...]], ...]
"""What one reading may mean: (log weight, factors) each; the weights sum to 1."""

_LEAST = 1e-250
_MOST_CACHED = 20_000_000
"""Numbers kept of factors made before."""
_EFFECTS = ("speckled", "mottled", "running", "lustre")


def compile_channels(reference: Reference, rates: Rates | None = None) -> Channels:
    """The channels of a reference.

    Parameters
    ----------
    reference : Reference
        What is known.
    rates : Rates or None
        How readings go wrong (`fit_rates`); None for the default rates.

    Examples
    --------
    >>> from footring.reference import compile_reference
    >>> from footring.rows.reference_things import Line, Maker
    >>> known = compile_reference({
    ...     "makers": [Maker("q", name="Quillow & Tarn Works")],
    ...     "lines": [Line("o", maker="q", name="Ormsley"), Line("w", maker="q", name="Wherry")],
    ... })
    >>> [[(_, (factor,))]] = compile_channels(known).factors([Reading("line", "Ormsley")])
    >>> factor.slot, bool(factor.log[0] > factor.log[1])
    ('line', True)
    """
    return Channels(reference, rates or Rates())


@dataclass(frozen=True, eq=False)
class Channels:
    """How likely every reading is, given each value of what is hidden; made by `compile_channels`.

    Tables of names and letterings are made when a reading of their kind first asks for them, and kept.
    """

    reference: Reference
    rates: Rates
    _named: dict[str, Any] = field(default_factory=dict, repr=False)
    _made: dict[Any, list[Alternatives]] = field(default_factory=dict, repr=False)
    _vocabularies: dict[str, Vocabulary] = field(default_factory=dict, repr=False)
    _size: list[int] = field(default_factory=lambda: [0], repr=False)

    def with_rates(self, rates: Rates) -> Channels:
        """The same reference with other rates; what does not depend on them is shared."""
        return Channels(self.reference, rates, self._named)

    def factors(self, readings: Iterable[Reading]) -> list[Alternatives]:
        """What the readings of one piece or part may mean.

        Parameters
        ----------
        readings : iterable of Reading
            In any order; the same one given twice counts once, at its surest.

        Returns
        -------
        list of Alternatives
            One for each reading, or for each mark with its kind and colour; two or more where one reading tells of
            several marks. Nothing for a reading that speaks of none of `SLOTS`: date_code, made, channel, piece_id,
            mark_place.

        Raises
        ------
        BadInput
            A value that cannot be what its name says.

        Notes
        -----
        maker and country speak of the maker; line of the line; form and feature (a telltale) of the form; trade_size,
        across, height and capacity of the size; body of the body; glaze (a name or a colour) and effect of the glaze;
        decoration, technique and placement of the decoration; trim, customer and label of these; number, and numeral
        by its chance of being one, of the number; mark, mark_kind and mark_colour of the mark in the clay or of the
        printed one: of either, with its chance, where the kind was not said.
        """
        out: list[Alternatives] = []
        for group in grouped(readings):
            made = self._made.get(group)
            out += self._remembered(group) if made is None else made
        return out

    def _remembered(self, group: Group) -> list[Alternatives]:
        made = self._make(group)
        self._size[0] += sum(len(f.log) for several in made for _, factors in several for f in factors)
        if self._size[0] > _MOST_CACHED:
            self._made.clear()
            self._size[0] = 0
        self._made[group] = made
        return made

    def _make(self, group: Group) -> list[Alternatives]:
        reading = group.reading
        if group.is_mark:
            return self._marks(group)
        make = self._makers.get(reading.name)
        if make is None:
            return []
        return [((0.0, (make(reading, group),)),)]

    @cached_property
    def _makers(self) -> Mapping[str, Callable[[Reading, Group], Factor]]:
        words = dict.fromkeys((n for n in SPEAKS_OF if not n.startswith("mark_")), self._word)
        measures = dict.fromkeys(COLUMNS, self._measure)
        others = {"feature": self._feature, "number": self._number, "numeral": self._numeral, "label": self._label}
        return {**words, **measures, **others, "glaze": self._glaze}

    # ---- readings in words

    def vocabulary(self, reading: str) -> Vocabulary:
        """The words of one kind of reading, one of `SPEAKS_OF`."""
        if reading not in self._vocabularies:
            if reading not in self._named:
                self._named[reading] = named_for(self.reference, reading)
            ids = list(self.reference.tables[SPEAKS_OF[reading][1]].text("id").tolist())
            self._vocabularies[reading] = Vocabulary(self._named[reading], reading, self.rates, ids)
        return self._vocabularies[reading]

    def _word(self, reading: Reading, _: Group) -> Factor:
        if reading.name == "effect" and reading.absent:
            reading = replace(reading, value="plain", absent=False)
        return self._in_words(reading, SPEAKS_OF[reading.name][0], self.vocabulary(reading.name), reading.value)

    def _in_words(self, reading: Reading, slot: str, words: Vocabulary, typed: str) -> Factor:
        if reading.absent:
            return self._absent(reading, slot, words.named.nothing)
        known = [self.rates.of(words.reading, name) for name in ("new_known", "outside_known")]
        new, outside = (words.elsewhere(typed, share) for share in known)
        base = words.base(typed, 1.0 - words.unknown)
        found = Likelihood(np.log(words.p(typed)), new=log(new), outside=log(outside), base=log(base))
        return self._present(reading, slot, found, words.named.nothing)

    def _absent(self, reading: Reading, slot: str, nothing: NDArray[np.bool_] | None = None) -> Factor:
        return absent(
            reading, slot, Presence.of(self.rates, reading.name), len(self.reference.tables[SLOTS[slot]]), nothing
        )

    def _present(
        self, reading: Reading, slot: str, likelihood: Likelihood, nothing: NDArray[np.bool_] | None = None
    ) -> Factor:
        return present(reading, slot, Presence.of(self.rates, reading.name), likelihood, nothing)

    def _feature(self, reading: Reading, _: Group) -> Factor:
        look_at, colon, seen = reading.value.partition(":")
        if reading.absent or not colon or not look_at.strip() or not seen.strip():
            given = "none" if reading.absent else reading.value
            raise BadInput(
                f"feature {given[:60]!r}: expected what was looked at, a colon, and what is seen there; "
                "write feature=lid seat: a ledge inside the rim"
            )
        return self._in_words(reading, "form", self.features(word_key(look_at)), seen)

    def features(self, look_at: str) -> Vocabulary:
        """The words of what is seen at one place, named as `word_key` gives it."""
        if "features" not in self._named:
            self._named["features"] = features_for(self.reference)
        name = "feature: " + look_at
        if name not in self._vocabularies:
            named = self._named["features"].get(look_at) or Named(len(self.reference.tables["forms"]), [])
            ids = list(self.reference.tables["forms"].text("id").tolist())
            words = Vocabulary(named, "feature", self.rates, ids)
            if look_at not in self._named["features"]:
                return words
            self._vocabularies[name] = words
        return self._vocabularies[name]

    @cached_property
    def places(self) -> Mapping[str, str]:
        """Where two forms may be told apart, as written, by its name as `word_key` gives it."""
        written = self.reference.tables["telltales"].text("look_at").tolist()
        return {word_key(str(text)): str(text) for text in written if text}

    @cached_property
    def written_codes(self) -> frozenset[str]:
        """Every decoration number, as `word_key` gives it."""
        return frozenset(word_key(str(text)) for text in self.reference.tables["numbers"].text("code").tolist() if text)

    # ---- colours and sizes

    @cached_property
    def colours(self) -> GlazeColours:
        """Colours of the glazes."""
        table = self.reference.tables["glazes"]
        labs = labs_of(table)
        effects = table.spec.column("effect").choices or ()
        labs[np.isin(table.links["effect"], [effects.index(effect) for effect in _EFFECTS])] = np.nan
        return GlazeColours(labs, self.rates, list(table.text("id").tolist()))

    def _glaze(self, reading: Reading, group: Group) -> Factor:
        colour = None if reading.absent else parse_colour(reading.value)
        if colour is None:
            return self._word(reading, group)
        base, wide = self.colours.base(colour), self.colours.base(colour, learned=False)
        found = Likelihood.flat(self.colours.p(colour), base, (base + wide) / 2)
        return self._present(reading, "glaze", found)

    @cached_property
    def measures(self) -> Mapping[str, Measures]:
        """Sizes, by the kind of measurement."""
        table = self.reference.tables["sizes"]
        ids = list(table.text("id").tolist())
        named = np.array([inches(name) or np.nan for name in table.text("trade_size").tolist()], float)
        return {
            reading: Measures(reading, table.numbers[column].astype(float), table.links["form"], ids, named, self.rates)
            for reading, column in COLUMNS.items()
        }

    def _measure(self, reading: Reading, _: Group) -> Factor:
        if reading.absent:
            return self._absent(reading, "size")
        value, given = parse_measure(reading.name, reading.value)
        measures = self.measures[reading.name]
        rounded = 0.0 if reading.name == "capacity" else rounding(reading.value)
        base, wide = measures.base(value), measures.base(value, learned=False)
        return self._present(
            reading, "size", Likelihood.flat(measures.p(value, given, rounded), base, (base + wide) / 2)
        )

    # ---- numbers

    @cached_property
    def _codes(self) -> Codes:
        return Codes([code or "" for code in self.reference.tables["numbers"].text("code").tolist()], self.rates)

    def _number(self, reading: Reading, _: Group) -> Factor:
        if reading.absent:
            return self._absent(reading, "number")
        found = Likelihood.flat(self._codes.p(reading.value), self._codes.new(reading.value))
        return self._present(reading, "number", found)

    def _numeral(self, reading: Reading, group: Group) -> Factor:
        if reading.absent:
            return self._absent(reading, "number")
        kinds = chances(_figure(group), self.rates.of("numeral_kind", "misread"))
        new = self._codes.new(reading.value)
        other = as_another_kind(reading.value, kinds, new)
        share = kinds["decoration"]
        found = Likelihood.flat(share * self._codes.p(reading.value) + other, share * new + other)
        another = log(max(other / max(1.0 - share, _LEAST), _LEAST))
        return self._present(reading, "number", replace(found, without=another))

    # ---- marks and labels

    @cached_property
    def known_marks(self) -> KnownMarks:
        """The marks of the reference."""
        table = self.reference.tables["marks"]
        makers = table.links["maker"].tolist()
        return KnownMarks(table.text("lettering").tolist(), table.text("device").tolist(), makers, self.rates)

    @cached_property
    def _known_labels(self) -> KnownLabels:
        table = self.reference.tables["labels"]
        texts = [
            [t for t in several if t]
            for several in zip(*(table.text(c).tolist() for c in ("name", "lettering")), strict=True)
        ]
        names = self.reference.tables["names"]
        for i, (of, name) in enumerate(
            zip(names.text("thing_table").tolist(), names.text("name").tolist(), strict=True)
        ):
            if of == "labels" and names.links["thing"][i] >= 0:
                texts[names.links["thing"][i]].append(name)
        return KnownLabels(texts, self.rates)

    def _label(self, reading: Reading, _: Group) -> Factor:
        if reading.absent:
            return self._absent(reading, "label")
        return self._lettered(reading, "label", self._known_labels.log_p(reading.value))

    def _lettered(self, reading: Reading, slot: str, found: tuple[Floats, float, float]) -> Factor:
        """A factor from logs given each row, given another one, and averaged over the rows."""
        rows, new, known = found
        name = "label" if slot == "label" else "mark"
        shares = [self.rates.of(name, rate) for rate in ("new_known", "outside_known")]
        held, outside = (float(np.logaddexp(log(share) + known, log(1.0 - share) + new)) for share in shares)
        base = float(np.logaddexp(known, new)) - log(2.0)
        return present(reading, slot, Presence.of(self.rates, name), Likelihood(rows, held, outside, base))

    def _marks(self, group: Group) -> list[Alternatives]:
        mark = group.reading if group.reading.name == "mark" else None
        return [self._mark(group, read) for read in marks_read(mark, group.of("mark_kind"))]

    def _mark(self, group: Group, read: MarkRead) -> Alternatives:
        reading = group.reading
        if read.where == "label":
            one = Reading("label", read.lettering or read.device, reading.p, read.absent, reading.part, reading.index)
            return ((0.0, (self._label(one, group),)),)
        slots = [f"mark_{read.where}"] if read.where else ["mark_in_clay", "mark_printed"]
        if read.absent:
            return ((0.0, tuple(self._absent(reading, slot) for slot in slots)),)
        found = self.known_marks.log_p(read)
        each = [(self._lettered(reading, slot, found), *self._how(group, slot)) for slot in slots]
        if len(each) == 1:
            return ((0.0, each[0]),)
        in_clay = self.rates.of("mark", "in_clay")
        return ((log(in_clay), each[0]), (log(1.0 - in_clay), each[1]))

    def _how(self, group: Group, slot: str) -> list[Factor]:
        """Kind and colour of a mark, each a reading of its own."""
        out = []
        for name in ("mark_kind", "mark_colour"):
            reading = group.of(name)
            if reading is None or reading.absent:
                continue
            typed = technique_named(reading.value) if name == "mark_kind" else self._colour_word(reading.value)
            out.append(self._in_words(reading, slot, self.vocabulary(name), typed))
        return out

    def _colour_word(self, typed: str) -> str:
        """The colour of a mark as the reference has it: dark green is green where no dark green is known."""
        colour = said(typed).colour or typed
        known = self.vocabulary("mark_colour").named.words
        last = colour.split()[-1] if colour.split() else colour
        return last if word_key(colour) not in known and word_key(last) in known else colour


def _figure(group: Group) -> Figure:
    kind, place, colour = group.of("numeral_kind"), group.of("numeral_place"), None
    technique = named = None
    if kind is not None and not kind.absent:
        named = kind_named(kind.value)
        technique = figure_technique(kind)
        colour = said(kind.value).colour
    return Figure(technique, colour, said(place.value).place or place.value if place else None, named)
