"""Where claims disagree, what speaks for each value, and what a person decided."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import logsumexp

from footring.reasoning.source_records import SETTLED, SourceWeights, learn_sources
from footring.reasoning.sources.opened import Opened, name_of, opened, value_name
from footring.reasoning.sources.priors import PIECE, chance_unmet, not_met
from footring.reasoning.sources.said import (
    AGAINST,
    FOR,
    NOT_MET,
    Floats,
    Said,
    property_of,
    source_kinds,
    subject_hashes,
)
from footring.reasoning.sources.values import narrowest, supports
from footring.reference import Reference
from footring.rows import TABLES


@dataclass(frozen=True, slots=True)
class Value:
    """One of the values claimed.

    Parameters
    ----------
    value, name : str or None
        As claimed, and as one says it. None: that there was such a thing at all.
    probability : float
        Claims and pieces weighed. A vague date has the probability of all that lies within it.
    opened : tuple of Opened
        Every claim for it, against it, or that it was not met.
    met_for, met_against : float
        Pieces in the hand that bear it out, or go against it.
    """

    value: str | None
    name: str | None
    probability: float
    opened: tuple[Opened, ...]
    met_for: float
    met_against: float


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A property of one thing on which claims, or claims and pieces, disagree.

    Parameters
    ----------
    table, subject, name : str
        The thing: its table and id (of the first row that tells of it), and how one says it.
    property : str
        What it is about; "exists" where it is whether there was such a thing.
    values : tuple of Value
        The most probable first.
    something_else : float
        Probability that it is none of them. With this, values that exclude one another sum to 1.
    resolution, reason : str or None
        Id of what a person decided, and why. Their word stands, whatever the weights.
    answer : str or None
        What stands: the value decided, or the most probable one; None where that is something else.
    """

    table: str
    subject: str
    name: str
    property: str
    values: tuple[Value, ...]
    something_else: float
    resolution: str | None
    reason: str | None
    answer: str | None


@dataclass(frozen=True, slots=True)
class _Saying:
    """One saying, out of its group."""

    group: Said
    at: int
    chance: float
    by_piece: bool
    met: tuple[float, float, float]

    @property
    def says(self) -> int:
        return int(self.group.says[self.at])

    @property
    def stance(self) -> int:
        return int(self.group.stance[self.at])

    @property
    def source(self) -> int:
        return int(self.group.source[self.at])


def disagreements(reference: Reference, learned: SourceWeights | None = None) -> tuple[Disagreement, ...]:
    """Every property on which claims disagree, or that a person has decided, by table, name and property.

    Parameters
    ----------
    reference : Reference
        Claims, and rows of productions, numbers and mark_uses as the word of the source they name.
    learned : SourceWeights, optional
        From `learn_sources`, when somebody has it already.

    Returns
    -------
    tuple of Disagreement
        The same for rows in any order.

    Notes
    -----
    Each value and "something else" start even. A source of chance r says what is true with r and each other value
    with an equal part of 1 - r; one that speaks against a value is right with r. Sources of one lineage that say the
    same count once, as the most reliable of those the others draw on. "Not met" counts for the chance of meeting it.

    Examples
    --------
    >>> from footring.reference import compile_reference
    >>> disagreements(compile_reference({}))
    ()
    """
    learned = learned or learn_sources(reference)
    decided = _decided(reference)
    found = [
        made
        for (about, name), sayings in _by_subject(reference, learned, decided).items()
        if (made := _weighed(reference, learned, sayings, decided.get((about, name)))) is not None
    ]
    return tuple(sorted(found, key=lambda one: (one.table, one.name, one.property, one.subject)))


Subject = tuple[int, str]


def _decided(reference: Reference) -> dict[Subject, int]:
    """Row of the resolution of each subject and property."""
    table = reference.tables["resolutions"]
    rows = np.flatnonzero(table.current).tolist()
    found: dict[Subject, int] = {}
    for row in rows:
        about, name, value = (table.text(column).value(row) for column in ("subject_table", "property", "value"))
        subject = int(subject_hashes(reference, str(about))[table.links["subject"][row]])
        found[subject, property_of(str(about), str(name), value is not None)] = row
    return found


def _by_subject(
    reference: Reference, learned: SourceWeights, decided: Mapping[Subject, int]
) -> dict[Subject, list[_Saying]]:
    """Sayings of what somebody claimed, decided, or what pieces contradict."""
    asked = set(decided)
    for group, seen in zip(learned.said, learned.bearings, strict=True):
        wrong = (seen.log_odds <= -SETTLED) & (group.stance == FOR)
        every = group.origin == "claims"
        asked |= {(about, group.what) for about in group.about[wrong | every].tolist()}
    found: dict[Subject, list[_Saying]] = {}
    for group, seen in zip(learned.said, learned.bearings, strict=True):
        wanted = np.array([about for about, name in asked if name == group.what], np.uint64)
        at = np.flatnonzero(np.isin(group.about, wanted))
        chance = learned.chance(group.source[at], group.kind, group.firmness[at])
        by_piece = source_kinds(reference, group.source[at]) == PIECE
        met = np.stack([seen.right, seen.wrong, seen.log_odds], axis=1)[at]
        for i, p, hand, (right, wrong, odds) in zip(
            at.tolist(), chance.tolist(), by_piece.tolist(), met.tolist(), strict=True
        ):
            saying = _Saying(group, i, p, hand, (right, wrong, odds))
            found.setdefault((int(group.about[i]), group.what), []).append(saying)
    return found


def _weighed(
    reference: Reference, learned: SourceWeights, sayings: Sequence[_Saying], decided: int | None
) -> Disagreement | None:
    values = _values(reference, sayings)
    hashes = list(values)
    column = next((c for c in TABLES[sayings[0].group.table].columns if c.name == sayings[0].group.what), None)
    within = supports([plain for plain, _ in values.values()], column is not None and column.date)
    atoms = narrowest(within)
    if decided is None and _agreed(sayings, hashes, within, atoms):
        return None
    shares = _shares(reference, learned, sayings, hashes, within, atoms)
    told = [
        _value(reference, learned, sayings, key, float(shares[:-1] @ within[atoms, k])) for k, key in enumerate(hashes)
    ]
    told.sort(key=lambda value: (-value.probability, value.value or ""))
    return _disagreement(reference, sayings, told, float(shares[-1]), decided)


def _values(reference: Reference, sayings: Sequence[_Saying]) -> dict[int, tuple[str | None, str | None]]:
    """Each value claimed, plain and as written, by what tells it apart; ordered by its text."""
    found: dict[int, tuple[str | None, str | None]] = {}
    for saying in sayings:
        if saying.stance != NOT_MET or saying.says:
            found.setdefault(saying.says, opened(reference, saying.group, saying.at).plain_and_written)
    found = found or {0: (None, None)}
    return dict(sorted(found.items(), key=lambda item: item[1][0] or ""))


def _agreed(sayings: Sequence[_Saying], hashes: Sequence[int], within: Any, atoms: Any) -> bool:
    """Whether one value makes all of them right, and no piece speaks against it."""
    if any(saying.stance == NOT_MET for saying in sayings) and any(saying.stance == FOR for saying in sayings):
        return False
    possible = np.ones(len(atoms), bool)
    for saying in sayings:
        if saying.stance != NOT_MET:
            borne = within[atoms, hashes.index(saying.says)]
            possible &= borne if saying.stance == FOR else ~borne
            possible &= ~borne | (saying.met[2] > -SETTLED) | (saying.stance == AGAINST)
    return bool(possible.any()) or all(saying.stance != FOR for saying in sayings)


def _shares(
    reference: Reference,
    learned: SourceWeights,
    sayings: Sequence[_Saying],
    hashes: Sequence[int],
    within: Any,
    atoms: Any,
) -> Floats:
    """Probability of each of the narrowest values, and of something else, shape (narrowest + 1,)."""
    log = np.zeros(len(atoms) + 1)
    for says, stance, chance, unmet in sorted(_voices(reference, learned, sayings)):
        fits = np.append(within[atoms, hashes.index(says)] if says in hashes else np.ones(len(atoms), bool), False)
        if stance == NOT_MET:
            log += np.where(fits, np.log(chance * unmet + 1 - chance), 0.0)
        else:
            right = fits if stance == FOR else ~fits
            wrong = (1 - chance) / (len(atoms) if stance == FOR else 1)
            log += np.log(np.where(right, chance, wrong))
    met = {saying.says: saying.met[2] for saying in sayings if saying.stance != NOT_MET}
    log[:-1] += [met.get(hashes[k], 0.0) for k in atoms]
    return np.asarray(np.exp(log - logsumexp(log)))


def _voices(
    reference: Reference, learned: SourceWeights, sayings: Sequence[_Saying]
) -> Iterator[tuple[int, int, float, float]]:
    """What is said, how, with what chance, and the chance of not meeting it: once for each family of sources.

    What pieces say is left out: it is weighed with the pieces.
    """
    alike: dict[tuple[int, int], dict[object, list[_Saying]]] = {}
    for saying in sayings:
        if not saying.by_piece:
            alike.setdefault((saying.says, saying.stance), {}).setdefault(saying.source, []).append(saying)
    for (says, stance), by_source in alike.items():
        shares = learned.lineage.shares(by_source)
        for members in learned.lineage.families(by_source):
            first = [saying for source in members if shares[source] for saying in by_source[source]]
            unmet = min(_unmet(reference, saying) for saying in first)
            yield says, stance, max(saying.chance for saying in first), unmet


def _unmet(reference: Reference, saying: _Saying) -> float:
    if saying.stance != NOT_MET:
        return 1.0
    claim: Any = reference.row("claims", int(saying.group.rows[saying.at]))
    handled = claim.handled if claim.handled is not None else (claim.hours or 0.0) * not_met()["pieces an hour"]
    return float(chance_unmet(handled))


def _value(
    reference: Reference, learned: SourceWeights, sayings: Sequence[_Saying], says: int, probability: float
) -> Value:
    ours = [saying for saying in sayings if saying.says == says or (saying.stance == NOT_MET and not saying.says)]
    told = [
        opened(reference, saying.group, saying.at, saying.chance, _counts_with(reference, learned, saying, ours))
        for saying in ours
    ]
    right, wrong = max((saying.met[:2] for saying in ours if saying.stance != NOT_MET), default=(0.0, 0.0))
    written = next((one.value for one in sorted(told, key=lambda one: (one.value or "", one.id)) if one.value), None)
    told.sort(key=lambda one: (one.stance, -one.weight, one.id))
    name = value_name(reference, sayings[0].group, written)
    return Value(written, name, probability, tuple(told), right, wrong)


def _counts_with(
    reference: Reference, learned: SourceWeights, saying: _Saying, others: Sequence[_Saying]
) -> tuple[str, ...]:
    """Names of the sources this one has it from, where it does not count by itself."""
    if saying.source not in learned.lineage:
        return ()
    same = {other.source for other in others if other.stance == saying.stance}
    shares = learned.lineage.shares(same)
    if shares[saying.source]:
        return ()
    family = next(members for members in learned.lineage.families(same) if saying.source in members)
    return tuple(sorted(name_of(reference, "sources", int(str(s))) for s in family if shares[s]))


def _disagreement(
    reference: Reference, sayings: Sequence[_Saying], values: Sequence[Value], rest: float, decided: int | None
) -> Disagreement:
    group = sayings[0].group
    ids = reference.tables[group.table].text("id")
    subject = min((str(ids.value(int(s.group.subject[s.at]))), int(s.group.subject[s.at])) for s in sayings)
    resolution: Any = None if decided is None else reference.row("resolutions", decided)
    likeliest = values[0].value if values[0].probability >= rest else None
    return Disagreement(
        group.table,
        subject[0],
        name_of(reference, group.table, subject[1]),
        group.what,
        tuple(values),
        rest,
        resolution.id if resolution else None,
        resolution.reason if resolution else None,
        resolution.value if resolution else likeliest,
    )
