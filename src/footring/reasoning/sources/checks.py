"""How the pieces in the hand bear on what is said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from scipy.optimize import brentq

from footring.reasoning.sources.pieces import FIELDS, Pieces, plain_code
from footring.reasoning.sources.priors import PIECE, Check, chance_unmet, checks, kind_priors
from footring.reasoning.sources.said import (
    AGAINST,
    EXISTS,
    FOR,
    NOT_MET,
    PATTERN,
    Floats,
    Ints,
    Said,
    source_kinds,
)
from footring.reference import TREATMENT, Reference
from footring.reference.weights import sums
from footring.rows.reference_things import IN_CLAY

_SINCE = {("decorations", "designed"): "decoration", ("forms", "designed"): "form"}
_TECHNIQUES_IN_CLAY = len(IN_CLAY)
Seen = Mapping[tuple[int, str], Sequence[tuple[int, int, float, float]]]
"""What was claimed of (subject, property) with a piece in the hand: stance, value told apart, first and last year."""


@dataclass(frozen=True, slots=True, eq=False)
class Bearing:
    """Evidence on each saying of a group, shape (sayings,).

    Parameters
    ----------
    right, wrong : float array
        Pieces for its value and against it.
    log_odds : float array
        Natural log-odds that its *value* is true, from even; a stance "against" turns it round.
    """

    right: Floats
    wrong: Floats
    log_odds: Floats

    @property
    def checkable(self) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Whether anything bears on it."""
        return np.asarray(self.log_odds != 0)


def bearing(reference: Reference, pieces: Pieces, group: Said, seen: Seen) -> Bearing:
    """What attributed pieces, and claims made with a piece in the hand, say of each value."""
    right, wrong, check = _counted(reference, pieces, group)
    odds = _capped(check, right, wrong) if group.what != EXISTS else _existence(reference, pieces, group, right)
    odds = np.where((right + wrong > 0) | (group.what == EXISTS), odds, 0.0)
    by_hand = _by_hand(group, seen)
    limit = log(checks()["piece"].most)
    odds = np.clip(odds + _capped(checks()["piece"], *by_hand), -limit, limit)
    return Bearing(right + by_hand[0], wrong + by_hand[1], odds)


def _capped(check: Check, right: Floats, wrong: Floats) -> Floats:
    limit = log(check.most)
    gain, loss = check.log_odds(1, 0), check.log_odds(0, 1)
    return np.clip(right * gain + wrong * loss, -limit, limit)


def _counted(reference: Reference, pieces: Pieces, group: Said) -> tuple[Floats, Floats, Check]:
    none = np.zeros(len(group))
    pattern = patterns(reference, pieces, group)
    if pattern is None:
        return none, none, checks()["value"]
    if group.what == EXISTS:
        return pieces.count(pattern), none, checks()["existence"]
    if (group.table, group.what) in _SINCE:
        return *_dated(pieces, pattern, group.first, np.full(len(group), np.inf)), checks()["beginning"]
    if not np.isnan(group.first).all():
        return *_dated(pieces, pattern, group.first, group.last), checks()["window"]
    return *_valued(pieces, pattern, group), checks()["customer" if group.what == "customer" else "value"]


def _dated(pieces: Pieces, pattern: Ints, first: Floats, last: Floats) -> tuple[Floats, Floats]:
    told = ~np.isnan(first)
    right, wrong = pieces.dated(pattern, np.where(told, first, -np.inf), np.where(told, last, np.inf))
    return right * told, wrong * told


def _valued(pieces: Pieces, pattern: Ints, group: Said) -> tuple[Floats, Floats]:
    """Pieces of a pattern with the value said and with another."""
    told = group.value >= 0
    whole = pieces.count(pattern, group.what)
    exact = pattern.copy()
    exact[:, FIELDS.index(group.what)] = np.where(told, group.value, 0)
    right = pieces.count(exact)
    return right * told, (whole - right) * told


def patterns(reference: Reference, pieces: Pieces, group: Said) -> Ints | None:
    """What a piece must have to bear on each saying, shape (sayings, fields); None where no piece can."""
    wanted = np.full((len(group), len(FIELDS)), -1, np.int64)
    name = _SINCE.get((group.table, group.what))
    if name or (group.table, group.what) == ("makers", "active"):
        wanted[:, FIELDS.index(name or "maker")] = group.subject
        return wanted
    of_table = {"numbers": TREATMENT, "productions": (EXISTS, "made", "customer", *PATTERN["productions"][1:]),
                "mark_uses": (EXISTS, "used")}  # fmt: skip
    if group.what not in of_table.get(group.table, ()):
        return None
    links = reference.tables[group.table].links
    for column in set(FIELDS) & set(links):
        wanted[:, FIELDS.index(column)] = links[column][group.subject]
    if group.table == "numbers":
        wanted[:, [FIELDS.index(part) for part in TREATMENT]] = -1
        wanted[:, -1] = _codes(reference, pieces, group)
    elif group.table == "mark_uses":
        _put_mark(reference, pieces, links["mark"][group.subject], wanted)
    elif group.what in FIELDS:
        wanted[:, FIELDS.index(group.what)] = -1
    return wanted


def _codes(reference: Reference, pieces: Pieces, group: Said) -> Ints:
    """Index of each number's code; one that no piece has where the code was used again in another era."""
    numbers = reference.tables["numbers"]
    words = numbers.text("code")
    assert words.vocabulary is not None
    code = np.array([pieces.codes[plain_code(word)] for word in words.vocabulary], np.int64)[words.values]
    used = numbers.links["line"].astype(np.int64) * (len(pieces.codes) + 1) + code
    times = np.bincount(used[numbers.current], minlength=int(used.max(initial=0)) + 1)
    return np.asarray(np.where(times[used] > 1, len(pieces.codes) + 1, code)[group.subject])


def _put_mark(reference: Reference, pieces: Pieces, mark: Ints, wanted: Ints) -> None:
    """The mark among those in the clay, or those on top; where the table does not say, where pieces have it."""
    technique = reference.tables["marks"].links["technique"][mark]
    clay, top = FIELDS.index("mark_in_clay"), FIELDS.index("mark_printed")
    in_clay = np.where(technique < 0, np.isin(mark, pieces.known[:, clay]), technique < _TECHNIQUES_IN_CLAY)
    wanted[:, clay] = np.where(in_clay, mark, -1)
    wanted[:, top] = np.where(in_clay, -1, mark)


def _existence(reference: Reference, pieces: Pieces, group: Said, met: Floats) -> Floats:
    """Met: it exists, but for a wrong attribution. Not met among so many of the line: a little less likely."""
    line = reference.tables[group.table].links["line"].astype(np.int64)
    told = np.bincount(line[reference.tables[group.table].current] + 1, minlength=int(line.max(initial=-1)) + 2)
    asked = np.full((len(told), len(FIELDS)), -1, np.int64)
    asked[1:, 0] = np.arange(len(told) - 1)
    expected = pieces.count(asked) / np.maximum(told, 1)
    place = line[group.subject] + 1
    check, found = checks()["existence"], met > 0
    prior = [one.right / (one.right + one.wrong) for one in kind_priors()]
    usual = sums(place, np.array(prior)[source_kinds(reference, group.source)], len(told))
    unmet = np.log(chance_unmet(expected * _evenness(expected, usual, int(found.sum())), 1.0))
    return np.where(found, log(min(1.0 / check.if_false, check.most)), unmet[place])


def _evenness(expected: Floats, usual: Floats, met: int) -> float:
    """By how much less often than in equal parts things are met, were sources as right as is usual for their kind.

    A line's pieces are mostly of a few things. Fitted on all sources together, so that each is judged by what the
    others list and not by how long was looked.
    """

    def missing(log_share: float) -> float:
        return float(np.sum(np.sort(usual * (1.0 - chance_unmet(expected * np.exp(log_share), 1.0))))) - met

    lowest = -12.0
    if missing(0.0) <= 0:
        return 1.0
    return round(float(np.exp(brentq(missing, lowest, 0.0))), 6) if missing(lowest) < 0 else float(np.exp(lowest))


def claims_of_pieces(reference: Reference, groups: Sequence[Said]) -> Seen:
    """What was claimed with a piece in the hand."""
    seen: dict[tuple[int, str], list[tuple[int, int, float, float]]] = {}
    for group in groups:
        ours = np.flatnonzero((source_kinds(reference, group.source) == PIECE) & (group.stance != NOT_MET))
        columns = (group.about, group.stance, group.says, group.first, group.last)
        for about, *what in zip(*(column[ours].tolist() for column in columns), strict=True):
            seen.setdefault((about, group.what), []).append(tuple(what))
    return seen


def _by_hand(group: Said, seen: Seen) -> tuple[Floats, Floats]:
    right, wrong = np.zeros((2, len(group)))
    if not any(name == group.what for _, name in seen):
        return right, wrong
    wanted = np.array([about for about, name in seen if name == group.what], np.uint64)
    for i in np.flatnonzero(np.isin(group.about, wanted)).tolist():
        for stance, says, first, last in seen[int(group.about[i]), group.what]:
            same = says == group.says[i] or (group.first[i] <= last and first <= group.last[i])
            right[i] += stance == FOR and same
            wrong[i] += (stance == AGAINST and same) or (stance == FOR and not same)
    return right, wrong
