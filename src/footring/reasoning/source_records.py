"""How reliable each source has proved, and how much its word counts for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import blake2b
from math import log
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from footring.reasoning.sources.checks import Bearing, bearing, claims_of_pieces
from footring.reasoning.sources.fit import Checked, Fit, Priors, beta_interval, fit
from footring.reasoning.sources.lineage import Lineage, lineage_of
from footring.reasoning.sources.pieces import pieces_of
from footring.reasoning.sources.priors import FIRMNESS, KINDS, PIECE, effects, kind_priors
from footring.reasoning.sources.said import (
    AGAINST,
    CLAIM_KINDS,
    EXISTS,
    NOT_MET,
    Floats,
    Ints,
    Said,
    claim_kind,
    everything_said,
    source_kinds,
    stated,
    usual_firmness,
)
from footring.reasoning.sources.voices import voices
from footring.reference import Reference
from footring.rows import TABLES
from footring.terms.errors import UnknownName

_NINETY = 1.6448536269514722
SETTLED = log(9.0)
"""Log-odds from which a claim is told to be borne out, or contradicted: nine chances in ten from even."""

DOCUMENTS = tuple(
    name
    for name, spec in TABLES.items()
    if spec.kind == "statement" and name != "claims" and any(column.name == "source" for column in spec.columns)
)
"""Tables of which each row is the word of a source."""


@dataclass(frozen=True)
class SourceWeights:
    """What was learned of the sources of one reference.

    Parameters
    ----------
    reference_digest : str
        Digest of the reference learned from.
    place : int array, shape (sources + 1,)
        Where each source stands in the fit; the last for rows without a source.
    said : sequence of Said
        Everything that is said.
    bearings : sequence of Bearing
        What pieces say of it.
    voices : sequence of float array
        How much of one voice each saying is.
    fit : Fit
    lineage : Lineage
    """

    reference_digest: str
    place: Ints
    said: Sequence[Said] = field(repr=False)
    bearings: Sequence[Bearing] = field(repr=False)
    voices: Sequence[Floats] = field(repr=False)
    fit: Fit = field(repr=False)
    lineage: Lineage = field(repr=False)

    def chance(self, source: Ints, kind: Any, firmness: Ints) -> Floats:
        """Probability that a claim is true, going by who says it, what it is about and how firmly it is put.

        Parameters
        ----------
        source : int array, shape (claims,)
            Row of the sources; -1 for none, which counts as a source of kind "other".
        kind : int or int array
            Index into the kinds of claim.
        firmness : int array, shape (claims,)
            Index into the firmnesses of the table claims.
        """
        kind = np.broadcast_to(kind, np.shape(source))
        return np.asarray(expit(self.fit.log_odds(self.place[source], kind, firmness)))

    @cached_property
    def digest(self) -> str:
        """128 bits in hex: the same for the same rows in any order."""
        parts = (self.fit.own, self.fit.shared)
        text = repr((self.reference_digest, [np.round(part, 7).tolist() for part in parts]))
        return blake2b(text.encode(), digest_size=16).hexdigest()


@dataclass(frozen=True, slots=True)
class Tally:
    """Claims of a source, or of one kind, that pieces bore out, contradicted, or left open."""

    borne_out: int
    contradicted: int
    left_open: int


@dataclass(frozen=True, slots=True)
class ClaimRecord:
    """How a source has proved on one kind of claim; `low` to `high` holds 90 % of the probability."""

    kind: str
    weight: float
    low: float
    high: float
    tally: Tally


@dataclass(frozen=True, slots=True)
class SourceRecord:
    """How a source has proved.

    Parameters
    ----------
    source, name : str
        Its id and its name.
    kind : str or None
        What it is; None not known.
    weight : float
        Probability that a claim of its usual firmness is true, over the kinds of claim that could be checked.
    low, high : float
        90 % interval of that.
    tally : Tally
        Of its own claims.
    said : int
        All that it says, checkable or not, in the claims and in the rows that name it.
    taken_over : int
        How much of that it has from sources it draws on, and counts with them.
    by_claim : tuple of ClaimRecord
        Kinds of claim with anything checked.
    """

    source: str
    name: str
    kind: str | None
    weight: float
    low: float
    high: float
    tally: Tally
    said: int
    taken_over: int
    by_claim: tuple[ClaimRecord, ...]


@dataclass(frozen=True, slots=True)
class FirmnessRecord:
    """How much likelier than in print a claim put this way is to be true: `odds` times, 90 % from low to high."""

    firmness: str
    odds: float
    low: float
    high: float
    checked: int


def learn_sources(reference: Reference) -> SourceWeights:
    """Learn from what pieces bear out how far each source is to be believed.

    Parameters
    ----------
    reference : Reference
        Claims, and the rows of productions, numbers and mark_uses that name a source, are checked against confirmed
        attributions (their cells, numbers read, date codes, marks, customers) and against claims made with a piece
        in the hand. A source of kind "piece" is what the others are checked by, and is not checked itself.

    Returns
    -------
    SourceWeights
        The same for rows in any order.

    Raises
    ------
    BadInput
        The reference has a date-code scheme that cannot be read.

    Notes
    -----
    See `footring.reasoning.sources.fit`. Dawid and Skene 1979 is the published relative (`dawid_skene`); here the
    pieces are the standard, sources copying one another count once, and few claims leave a source near what is
    usual for its kind.

    Examples
    --------
    >>> from footring.reference import compile_reference
    >>> from footring.rows.reference_things import Source
    >>> learned = learn_sources(compile_reference({"sources": [Source("ossel.talk", name="Talk", kind="talk")]}))
    >>> learned.chance(np.array([0]), 0, np.array([1])).round(3).tolist()
    [0.647]
    """
    groups, lineage = everything_said(reference), lineage_of(reference)
    pieces, seen = pieces_of(reference), claims_of_pieces(reference, groups)
    bearings = [bearing(reference, pieces, group, seen) for group in groups]
    shares = voices(groups, lineage)
    whole = [_checked(reference, *one) for one in zip(groups, bearings, shares, strict=True)]
    checked = Checked(*(np.concatenate([np.empty(0, np.int64), *parts]) for parts in zip(*whole, strict=True))
                      if whole else (np.empty(0, np.int64),) * 5)  # fmt: skip
    place, priors = _priors(reference, np.unique(checked.source))
    fitted = fit(Checked(place[checked.source], *_rest(checked)), priors)
    return SourceWeights(reference.digest, place, groups, bearings, shares, fitted, lineage)


def _rest(checked: Checked) -> tuple[Ints, Ints, Floats, Floats]:
    return checked.kind, checked.firmness, checked.log_odds, checked.weight


def _checked(reference: Reference, group: Said, found: Bearing, share: Floats) -> tuple[Any, ...]:
    use = _used(reference, group, found) & (share > 0)
    odds = np.where(group.stance == AGAINST, -found.log_odds, found.log_odds)
    kind = np.full(len(group), group.kind)
    return tuple(array[use] for array in (group.source, kind, group.firmness, odds, share))


def _used(reference: Reference, group: Said, found: Bearing) -> NDArray[np.bool_]:
    by_piece = source_kinds(reference, group.source) == PIECE
    return np.asarray(found.checkable & (group.source >= 0) & ~by_piece & (group.stance != NOT_MET))


def _priors(reference: Reference, checked: Ints) -> tuple[Ints, Priors]:
    """Where each source stands: those with anything checked, by id, stand after one for each kind of source."""
    ids = reference.tables["sources"].text("id").tolist()
    ours = sorted(checked.tolist(), key=lambda row: str(ids[row]))
    kinds = source_kinds(reference, np.arange(-1, len(ids)))
    place = np.roll(kinds, -1).astype(np.int64)
    of = np.append(np.arange(len(KINDS)), place[ours]).astype(np.int64)
    place[ours] = len(KINDS) + np.arange(len(ours))
    right, wrong = (np.array([getattr(prior, side) for prior in kind_priors()])[of] for side in ("right", "wrong"))
    shared = [effects()["claim", "any"]] * len(CLAIM_KINDS) + [effects()["firmness", name] for name in FIRMNESS]
    shift, sd = (np.array([getattr(effect, what) for effect in shared]) for what in ("log_odds", "sd"))
    own_sd = effects()["source by claim", "any"].sd
    return place, Priors(right, wrong, shift, sd, own_sd, len(CLAIM_KINDS))


def document_weight(reference: Reference, table: str = "productions", learned: SourceWeights | None = None) -> Floats:
    """What each row of a table counts for, by how reliable its source has proved.

    Parameters
    ----------
    reference : Reference
    table : str
        "productions", "numbers", "mark_uses", or another table of statements that name a source.
    learned : SourceWeights, optional
        From `learn_sources`, when somebody has it already.

    Returns
    -------
    float array, shape (rows,)
        From 0 to 1: the probability that a row is true, going by its source alone. Copies, and rows a source repeats,
        share one voice, so that they add up to one row; 0 for a row that is superseded.

    Raises
    ------
    UnknownName
        The rows of that table are no statements that name a source.

    Examples
    --------
    >>> from footring.reference import compile_reference
    >>> document_weight(compile_reference({})).shape
    (0,)
    """
    if table not in DOCUMENTS:
        raise UnknownName(f"no table of statements that name a source is called {table!r}: {', '.join(DOCUMENTS)} are")
    learned = learned or learn_sources(reference)
    group = stated(reference, table, EXISTS)
    weight = np.zeros(len(reference.tables[table]))
    if len(group):
        share = voices([group], learned.lineage)[0]
        firmness = usual_firmness(source_kinds(reference, group.source))
        weight[group.rows] = share * learned.chance(group.source, claim_kind(table, EXISTS), firmness)
    return weight


def cell_documents(reference: Reference) -> tuple[Floats, Floats]:
    """`document_weight` of the productions and of the numbers, the two that name cells, from one learning."""
    learned = learn_sources(reference)
    return document_weight(reference, "productions", learned), document_weight(reference, "numbers", learned)


def source_records(reference: Reference, learned: SourceWeights | None = None) -> Mapping[str, SourceRecord]:
    """The record of every source, by id, in the order of ids."""
    learned = learned or learn_sources(reference)
    table = reference.tables["sources"]
    tallies = _tallies(reference, learned)
    order = sorted(range(len(table)), key=lambda row: str(table.text("id").value(row)))
    return {str(table.text("id").value(row)): _record(reference, learned, row, tallies[row]) for row in order}


def _tallies(reference: Reference, learned: SourceWeights) -> Ints:
    """How many sayings of each source and kind: borne out, contradicted, open, all, and taken over; last axis."""
    shape = (len(reference.tables["sources"]), len(CLAIM_KINDS), 5)
    found = np.zeros(shape, np.int64)
    for group, seen, share in zip(learned.said, learned.bearings, learned.voices, strict=True):
        odds = np.where(group.stance == AGAINST, -seen.log_odds, seen.log_odds)
        used, named = _used(reference, group, seen) & (share > 0), group.source >= 0
        outcome = np.where(odds >= SETTLED, 0, np.where(odds <= -SETTLED, 1, 2))
        _add(found[:, group.kind], group.source[used], outcome[used])
        _add(found[:, group.kind], group.source[named], 3)
        _add(found[:, group.kind], group.source[named & (share == 0)], 4)
    return found


def _add(found: Ints, row: Ints, column: Ints | int) -> None:
    np.add.at(found, (row, np.broadcast_to(column, row.shape)), 1)


def _record(reference: Reference, learned: SourceWeights, row: int, tally: Ints) -> SourceRecord:
    source: Any = reference.row("sources", row)
    used = np.flatnonzero(tally[:, :3].sum(axis=1))
    each = [_weighed(learned, row, np.eye(len(CLAIM_KINDS))[k], source.kind) for k in used]
    share = tally[:, :3].sum(axis=1) / max(tally[:, :3].sum(), 1)
    by_claim = tuple(
        ClaimRecord(CLAIM_KINDS[k], *weighed, Tally(*tally[k, :3].tolist()))
        for k, weighed in zip(used.tolist(), each, strict=True)
    )
    weight, low, high = _weighed(learned, row, share, source.kind)
    *settled, said, taken_over = tally.sum(axis=0).tolist()
    return SourceRecord(
        source.id, source.name, source.kind, weight, low, high, Tally(*settled), said, taken_over, by_claim
    )


def _weighed(learned: SourceWeights, row: int, share: Floats, kind: str | None) -> tuple[float, float, float]:
    """Chance and 90 % interval of a claim of a source's usual firmness, over these shares of kinds of claim."""
    firmness = kind_priors()[KINDS.index(kind or "other")].firmness
    own = np.append(1.0, share)[None]
    shared = np.append(share, np.eye(len(FIRMNESS))[firmness])[None]
    mean, sd = learned.fit.spread(learned.place[row : row + 1], own, shared)
    low, high = beta_interval(mean, sd)
    return float(expit(mean[0])), float(low[0]), float(high[0])


def firmness_records(reference: Reference, learned: SourceWeights | None = None) -> tuple[FirmnessRecord, ...]:
    """What it has proved to mean that a claim was put firmly, from memory, or as a guess."""
    learned = learned or learn_sources(reference)
    checked = _firmness_checked(reference, zip(learned.said, learned.bearings, learned.voices, strict=True))
    kinds = len(CLAIM_KINDS)
    spread = np.sqrt(np.diag(learned.fit.shared_cov))
    shift, sd = learned.fit.shared[kinds:], spread[kinds:]
    odds, low, high = (np.exp(shift + z * sd).tolist() for z in (0.0, -_NINETY, _NINETY))
    return tuple(map(FirmnessRecord, FIRMNESS, odds, low, high, checked.tolist()))


def _firmness_checked(reference: Reference, said: Iterable[tuple[Said, Bearing, Floats]]) -> Ints:
    found = np.zeros(len(FIRMNESS), np.int64)
    for group, seen, share in said:
        settled = _used(reference, group, seen) & (share > 0) & (np.abs(seen.log_odds) >= SETTLED)
        found += np.bincount(group.firmness[settled], minlength=len(FIRMNESS))
    return found
