"""A noisy channel from what a mark says to what was read of it, summed over all alignments."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from footring.marks.word_patterns import folded
from footring.reasoning.channels.char_model import GAP, UNREAD, CharModel
from footring.reasoning.channels.rates import Rates
from footring.terms.tables import read_table

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789&"
MOST_CHARACTERS = 400
"""Of a reading, as of what stands on a piece, no more characters are compared."""

_AND = re.compile(r"\bAND\b|\+")
_TOKEN = re.compile(r"\.{3}|…|\?|[^\W_]|&")
_GROUP = 12
_FEW = 10_000
_RESCALE = 6
_AT_ONCE = 128
Floats = NDArray[np.float64]
Ends = tuple[NDArray[np.intp], NDArray[np.int64]]


@dataclass(frozen=True, slots=True)
class Noise:
    """Chances, for each character that stands there, of what happens to it when it is read.

    Parameters
    ----------
    substitution : float
        Read as another character; a share `alike` of these as one that looks like it.
    loss_open, loss_run : float
        Characters are left out from here; one more is.
    insertion, insertion_run : float
        Characters that are not there, or belong to something else, are read before it; one more is.
    alike : float
        See above.
    """

    substitution: float
    loss_open: float
    loss_run: float
    insertion: float
    insertion_run: float
    alike: float

    @classmethod
    def of(cls, rates: Rates, reading: str) -> Noise:
        """The noise of one kind of reading."""
        return cls(*(rates.of(reading, name) for name in cls.__slots__))


@lru_cache(maxsize=65536)
def characters(text: str) -> str:
    """What is compared of a text: capitals without accents and figures; `?` for one unreadable, a full stop for a gap.

    Case, punctuation, spaces and line breaks make no difference; AND and + are &.

    Examples
    --------
    >>> characters("Quillow and Tarn / Oss?l ...")
    'QUILLOW&TARNOSS?L.'
    """
    found = _TOKEN.findall(_AND.sub("&", folded(text)))
    return "".join("." if len(token) == 3 or token == "…" else token for token in found)[:MOST_CHARACTERS]


def plain_characters(text: str) -> str:
    """What is compared of a text of the reference; unreadable characters and gaps left out."""
    return characters(text).replace("?", "").replace(".", "")


class Lettering:
    """Log probabilities of a reading under each of many texts, and under none of them.

    Parameters
    ----------
    texts : sequence of str
        What stands on the pieces, as recorded.
    noise : Noise
        How it is read.
    typical : float
        How many characters such texts have.
    letters : str
        The alphabet, beside the characters of the texts.
    others : float
        How many characters a reading may hold beside these.

    Notes
    -----
    A pair hidden Markov model (Durbin 1998, ch. 4) with affine gaps: before each character and at the end a
    run of foreign characters may open, each as likely after the one read before it as on a mark that is none of
    these; then a run of losses may; else the character is read, right or wrong. The
    forward recursion sums all alignments, one row for each character read and all texts at once; along a row the
    losses are a first-order linear recursion. A gap in a reading stands for any run of characters, an unreadable
    one for any character, and that they could not be read is as likely under every text.

    Examples
    --------
    >>> known = Lettering(["QUILLOW & TARN / ORMSLEY", "WHERRY"], Noise(0.02, 0.01, 0.8, 0.01, 0.85, 0.5), 20)
    >>> bool(known.log_p("qu?llow & tarn ...")[0] > known.log_p("qu?llow & tarn ...")[1])
    True
    """

    def __init__(
        self, texts: Sequence[str], noise: Noise, typical: float, letters: str = LETTERS, others: float = 2000.0
    ) -> None:
        plain = [plain_characters(text) for text in texts]
        self.model = CharModel([text for text in plain if text], letters, typical, others)
        self.noise = noise
        distinct = sorted(set(plain), key=lambda text: (len(text), text))
        where = {text: i for i, text in enumerate(distinct)}
        self._which = np.array([where[text] for text in plain], np.intp)
        self._distinct = distinct
        self._groups = [_Group(self.model, distinct[start:stop]) for start, stop in _bounds(distinct)]
        self._read_as = _read_as(self.model, noise)

    def log_p(self, reading: str) -> Floats:
        """Log p(reading | each text), shape (texts,)."""
        codes = self.codes(reading)
        if not self._distinct:
            return np.empty(0)
        found: Floats = np.concatenate([group.log_p(codes, self._read_as, self) for group in self._groups])[self._which]
        return found

    def log_new(self, reading: str) -> float:
        """Log p(reading) of a text that is none of these."""
        return self.model.log_p_coded(self.codes(reading))

    def codes(self, reading: str) -> NDArray[np.int64]:
        """Codes of what was read; what holds nothing to compare is a gap."""
        text = characters(reading) or "."
        codes = self.model.codes(text)
        plain = np.frombuffer(text.encode("utf-32-le"), np.uint32)
        codes[plain == ord("?")] = UNREAD
        codes[plain == ord(".")] = GAP
        return codes


def _bounds(texts: Sequence[str]) -> list[tuple[int, int]]:
    """Texts of about one length together; few texts all together, since each group costs its steps."""
    if len(texts) and len(texts) * len(texts[-1]) <= _FEW:
        return [(0, len(texts))]
    groups = np.array([(len(text) + _GROUP - 1) // _GROUP for text in texts])
    cuts = np.flatnonzero(np.diff(groups)) + 1
    return list(zip([0, *cuts], [*cuts, len(texts)], strict=True)) if len(texts) else []


def _read_as(model: CharModel, noise: Noise) -> Floats:
    """p(read | stands there), shape (read, stands): one more column where it is not known what stands there."""
    size, base = model.size, model.single
    alike = _alike(model)
    some = alike.sum(axis=1, keepdims=True)
    alike = np.divide(alike, some, out=np.zeros_like(alike), where=some > 0)
    share = noise.alike * (some > 0)
    rest = base * (1.0 - np.eye(size))
    rest /= np.maximum(rest.sum(axis=1, keepdims=True), 1e-300)
    right = 1.0 - noise.substitution
    table = right * np.eye(size) + noise.substitution * (share * alike + (1.0 - share) * rest)
    table = np.vstack([table, base]) * model.character(np.arange(size)) / base
    return np.ascontiguousarray(table.T)


def _alike(model: CharModel) -> Floats:
    near = np.zeros((model.size, model.size))
    for row in read_table("footring.marks", "confusable.csv"):
        a, b = row["a"], row["b"]
        if len(a) == len(b) == 1 and a in model.characters and b in model.characters:
            i, j = model.characters.index(a), model.characters.index(b)
            near[i, j] = near[j, i] = float(row["weight"])
    return near


class _Group:
    """Texts of about one length."""

    def __init__(self, model: CharModel, texts: Sequence[str]) -> None:
        self.lengths = np.array([len(text) for text in texts])
        self.codes = np.full((len(texts), int(self.lengths.max(initial=0))), model.size, np.intp)
        for i, text in enumerate(texts):
            self.codes[i, : len(text)] = model.codes(text)

    def log_p(self, read: NDArray[np.int64], read_as: Floats, owner: Lettering) -> Floats:
        noise = owner.noise
        count, longest = self.codes.shape
        emitted = np.zeros((count, longest + 1))
        emitted[:, 0] = 1.0
        foreign = np.zeros_like(emitted)
        scale = np.zeros(count)
        strange = owner.model.following(read)
        ends = (np.arange(count), self.lengths)
        seen: dict[int, Floats] = {}
        for i, code in enumerate(read):
            if code == GAP:
                emitted, foreign = _after_gap(emitted, foreign, self.lengths, noise)
                continue
            if code not in seen:
                seen[code] = np.ones(1) if code == UNREAD else np.take(read_as[code], self.codes)
            emitted, foreign = _step(emitted, foreign, seen[code], strange[i], noise, ends)
            if i % _RESCALE == _RESCALE - 1:
                scale += _rescale(emitted, foreign)
        lost = _lost(emitted, foreign, noise)
        open_, run = 1.0 - noise.insertion, 1.0 - noise.insertion_run
        total = open_ * (emitted[ends] + lost[ends]) + run * foreign[ends]
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(total) + scale)


def _lost(emitted: Floats, foreign: Floats, noise: Noise) -> Floats:
    """Chance of having just lost the character before each place, from those of having read up to it."""
    opened, ended = 1.0 - noise.insertion, 1.0 - noise.insertion_run
    start = (noise.loss_open * opened) * emitted
    start += (noise.loss_open * ended) * foreign
    again = noise.loss_run + noise.loss_open * opened * (1.0 - noise.loss_run)
    parts = [start[:, begin : begin + _AT_ONCE] for begin in range(0, start.shape[1], _AT_ONCE)]
    found = [part @ _decay(part.shape[1], again) for part in parts]
    for part, lost, more in zip(parts, found, found[1:], strict=False):
        more += (part[:, -1:] + again * lost[:, -1:]) * again ** np.arange(more.shape[1])
    return found[0] if len(found) == 1 else np.hstack(found)


@lru_cache(maxsize=512)
def _decay(size: int, again: float) -> Floats:
    """The linear recursion along a row as a matrix: quicker than the recursion where they are short."""
    steps = np.arange(size) - np.arange(size)[:, None] - 1
    return np.where(steps >= 0, again ** np.maximum(steps, 0), 0.0)


def _step(
    emitted: Floats, foreign: Floats, fits: Floats, strange: float, noise: Noise, ends: Ends
) -> tuple[Floats, Floats]:
    """One character more is read."""
    ready = _lost(emitted, foreign, noise)
    at_end = ready[ends]
    ready *= 1.0 - noise.loss_run
    ready[ends] = at_end
    ready += emitted
    before = (1.0 - noise.insertion) * ready
    before += (1.0 - noise.insertion_run) * foreign
    ready *= strange * noise.insertion
    ready += (strange * noise.insertion_run) * foreign
    read = np.zeros_like(emitted)
    np.multiply(before[:, :-1], fits, out=read[:, 1:])
    read[:, 1:] *= 1.0 - noise.loss_open
    return read, ready


def _after_gap(emitted: Floats, foreign: Floats, lengths: NDArray[np.int64], noise: Noise) -> tuple[Floats, Floats]:
    """Any number of characters more, whatever they are."""
    read, lost, apart = emitted.copy(), np.zeros(len(emitted)), np.empty_like(foreign)
    keep, opened = 1.0 - noise.loss_open, noise.loss_open
    for j in range(emitted.shape[1]):
        ready = read[:, j] + np.where(lengths == j, 1.0, 1.0 - noise.loss_run) * lost
        apart[:, j] = (foreign[:, j] + noise.insertion * ready) / (1.0 - noise.insertion_run)
        before = ready + foreign[:, j]
        if j + 1 < emitted.shape[1]:
            read[:, j + 1] += keep * before
            lost = opened * before + noise.loss_run * lost
    return read, apart


def _rescale(emitted: Floats, foreign: Floats) -> Floats:
    top = np.maximum(emitted.max(axis=1), foreign.max(axis=1))
    top[top == 0.0] = 1.0
    emitted /= top[:, None]
    foreign /= top[:, None]
    scaled: Floats = np.log(top)
    return scaled
