"""Marks and labels as read, against those of the reference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from footring.marks.foot import IN_CLAY, MarkPart
from footring.marks.readings import Reading
from footring.marks.transcription import parse_mark, technique_named
from footring.reasoning.channels.char_model import CharModel
from footring.reasoning.channels.devices import Devices, words_of
from footring.reasoning.channels.lettering import Lettering, Noise, characters, plain_characters
from footring.reasoning.channels.named import ALPHABET
from footring.reasoning.channels.rates import Rates
from footring.reasoning.channels.word_base import WordBase
from footring.terms.errors import BadInput

Floats = NDArray[np.float64]
_UNREAD = "..."


@dataclass(frozen=True, slots=True)
class MarkRead:
    """What was read of one mark: lettering and devices in words, where it is, and whether there is none.

    `where` is "in_clay", "printed", "label", or None where it was not said.
    """

    where: str | None
    lettering: str
    device: str
    absent: bool


def marks_read(mark: Reading | None, kind: Reading | None) -> list[MarkRead]:
    """The marks that one reading tells of, the parts of one way of marking together.

    Parameters
    ----------
    mark : Reading or None
        The lettering, or a transcription of several marks; None where only how it was made was read.
    kind : Reading or None
        How it was made, for all its parts.

    Raises
    ------
    BadInput
        The kind is no way of marking.

    Examples
    --------
    >>> read = marks_read(Reading("mark", 'printed: "QUILLOW & TARN"; impressed: "417"'), None)
    >>> [(m.where, m.lettering) for m in read]
    [('printed', 'QUILLOW & TARN'), ('in_clay', '417')]
    """
    technique = _technique(kind) if kind is not None and not kind.absent else None
    if mark is None:
        return [MarkRead(_where(technique), _UNREAD, "", False)] if technique else []
    if mark.absent:
        return [MarkRead(_where(technique), "", "", True)]
    found: dict[str | None, list[MarkPart]] = {}
    for part in parse_mark(mark.value):
        found.setdefault(_where(technique or part.technique), []).append(part)
    return [_joined(where, parts) for where, parts in found.items()]


def _technique(kind: Reading) -> str:
    try:
        return technique_named(kind.value)
    except BadInput as error:
        raise BadInput(f"{kind.name}: {error}") from None


def _where(technique: str | None) -> str | None:
    if technique is None or technique == "label":
        return technique
    return "in_clay" if technique in IN_CLAY else "printed"


def _joined(where: str | None, parts: Sequence[MarkPart]) -> MarkRead:
    there = [part for part in parts if not part.absent]
    lettering = " / ".join(part.text for part in there if part.lettering)
    device = " ".join(part.text for part in there if not part.lettering)
    return MarkRead(where, lettering, device, not there)


class KnownMarks:
    """Log p(a mark as read | each mark of the reference).

    Parameters
    ----------
    letterings, devices : sequence of str or None
        What stands on each mark; None is not known.
    makers : sequence of int
        Whose each is; below 0 is not known.
    rates : Rates
        How they are misread.

    Notes
    -----
    Where the lettering of a mark is not known, any lettering is as likely as under a mark that the reference does not
    hold.
    """

    def __init__(
        self, letterings: Sequence[str | None], devices: Sequence[str | None], makers: Sequence[int], rates: Rates
    ) -> None:
        self._plain = [plain_characters(text or "") for text in letterings]
        self._lettered = np.array([bool(text) for text in self._plain], bool)
        self._texts = Lettering([text for text in self._plain if text], Noise.of(rates, "mark"), 25.0)
        words = [words_of(device) for device in devices]
        spelling = CharModel((word for of_mark in words for word in of_mark), ALPHABET, 6.0)
        self._devices = Devices(words, WordBase(words, makers, spelling), rates.of("mark", "device_noise"))
        device_only = ~self._lettered & np.array([bool(device) for device in devices], bool)
        chances = [rates.of("mark", name) for name in ("lettered", "unlettered", "lettered_new")]
        self._read = np.where(self._lettered, chances[0], np.where(device_only, chances[1], chances[2]))
        self._read_new = chances[2]
        self._wrong = rates.of("mark", "misread") + rates.of("mark", "unknown")

    def log_p(self, mark: MarkRead) -> tuple[Floats, float, float]:
        """Given each mark, given one of another wording, and averaged over those known."""
        if characters(mark.lettering) == "." and not mark.device:
            return np.zeros(len(self._plain)), 0.0, 0.0
        if mark.lettering:
            rows, new, known = self._lettering(mark.lettering)
        else:
            rows, new = np.log1p(-self._read), float(np.log1p(-self._read_new))
            known = new
        if mark.device:
            told, other = self._devices.log_p(words_of(mark.device))
            rows, new, known = rows + told, new + other, known + other
        return rows, new, known

    def _lettering(self, text: str) -> tuple[Floats, float, float]:
        new, exact = self._texts.log_new(text), self._texts.log_p(text)
        rows = np.full(len(self._plain), new)
        rows[self._lettered] = np.logaddexp(np.log1p(-self._wrong) + exact, np.log(self._wrong) + new)
        known = float(logsumexp(exact) - np.log(len(exact))) if len(exact) else new
        read = float(np.log(self._read_new))
        return rows + np.log(self._read), new + read, known + read


def _log(p: Floats) -> Floats:
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(p))


class KnownLabels:
    """Log p(a label as read | each label of the reference): its lettering or one of its names."""

    def __init__(self, texts: Sequence[Sequence[str]], rates: Rates) -> None:
        flat = [(i, text) for i, several in enumerate(texts) for text in several if plain_characters(text)]
        self._whose = np.array([i for i, _ in flat], np.intp)
        self._count = np.bincount(self._whose, minlength=len(texts))
        self._texts = Lettering([text for _, text in flat], Noise.of(rates, "label"), 16.0)
        self._wrong = rates.of("label", "misread") + rates.of("label", "unknown")

    def log_p(self, text: str) -> tuple[Floats, float, float]:
        """Given each label, given another one, and averaged over those known."""
        new, exact = self._texts.log_new(text), self._texts.log_p(text)
        top = float(exact.max(initial=new))
        sums = np.bincount(self._whose, np.exp(exact - top), len(self._count))
        rows = _log(sums / np.maximum(self._count, 1)) + top
        rows = np.logaddexp(np.log1p(-self._wrong) + rows, np.log(self._wrong) + new)
        known = float(logsumexp(exact) - np.log(len(exact))) if len(exact) else new
        return np.where(self._count > 0, rows, new), new, known
