"""Rates of misreading learned from readings of pieces that are settled."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from math import sqrt

import numpy as np

from footring.reasoning.channels.build import Channels, compile_channels
from footring.reasoning.channels.heard import STEP
from footring.reasoning.channels.naming import SPEAKS_OF
from footring.reasoning.channels.rates import Rates, changed_rates, default_rate, rate_names, strength
from footring.reasoning.channels.tally import FINE, Key, Tally, tally_readings
from footring.reasoning.channels.unsettled import outside_rates
from footring.reference import Reference

_FLOOR, _CEILING = 1e-4, 0.95
_ROUNDS = 60
Learned = dict[str, dict[str, float]]


def fit_rates(reference: Reference, without_piece: str | None = None) -> Rates:
    """Rates of misreading from the readings of pieces whose attribution is confirmed, and from corrections.

    Parameters
    ----------
    reference : Reference
        Everything known. Where it holds no readings, the default rates come back.
    without_piece : str or None
        Id of a piece whose readings do not count.

    Returns
    -------
    Rates
        Each rate shrunk towards its default as if that had been met in so many readings itself. The same whatever the
        order of the rows.

    Raises
    ------
    UnknownName
        There is no piece with this id.

    Notes
    -----
    Beta and Dirichlet pseudo-counts; what a doubtful reading counts for, and to which likeness
    of things a misreading goes back, is taken from the default rates: one step of an EM. Linear in the readings.

    Examples
    --------
    >>> from footring.reference import compile_reference
    >>> fit_rates(compile_reference({})) == Rates()
    True
    """
    channels = compile_channels(reference)
    tally = tally_readings(channels)
    if without_piece is not None:
        tally = tally_without(tally, channels, without_piece)
    return rates_from(tally)


def tally_without(tally: Tally, channels: Channels, piece: str) -> Tally:
    """A tally of all readings without those of one piece: the same as counting all the others.

    Parameters
    ----------
    tally : Counter
        From `tally_readings`.
    channels : Channels
        Those it was counted with.
    piece : str
        Id of the piece.

    Raises
    ------
    UnknownName
        There is no piece with this id.
    """
    pieces = np.zeros(len(channels.reference.tables["pieces"]), bool)
    pieces[channels.reference.find("pieces", piece)] = True
    less = tally_readings(channels, pieces)
    left = Counter({key: n for key in tally if (n := tally[key] - less[key])})
    for key in [key for key in left if key[-1] in ("n", "sum", "squares") and not left.get((*key[:-1], "n"))]:
        del left[key]
    return left


def rates_from(tally: Tally) -> Rates:
    """Rates from counts.

    Parameters
    ----------
    tally : Counter
        From `tally_readings`.
    """
    learned: Learned = {}
    for reading in sorted({key[1] for key in tally if key[0] in ("told", "looked")}):
        learned[reading] = {**_wrong(tally, reading), **_presence(tally, reading)}
    for start, prefix in (("called", "share_"), ("among", "among_")):
        for reading, found in _weights(tally, start, prefix).items():
            learned.setdefault(reading, {}).update(found)
    for reading, found in (*_slips(tally).items(), *_sizes(tally).items(), *_other(tally).items()):
        learned.setdefault(reading, {}).update(found)
    unknown, absence = (
        {name: learned.get(name, {}).get(rate) or default_rate(name, rate) or 0.0 for name in SPEAKS_OF}
        for rate in ("unknown", "absence")
    )
    for reading, found in outside_rates(tally, unknown, absence).items():
        learned.setdefault(reading, {}).update(found)
    return Rates(changed_rates(learned), _misread(tally), _typed(tally), _measured(tally))


def _shrunk(reading: str, rate: str, events: float, trials: float) -> float:
    """A share, from counts in steps, and its default."""
    weight, default = strength(reading, rate), default_rate(reading, rate) or 0.0
    return float(np.clip((events / STEP + weight * default) / (trials / STEP + weight), _FLOOR, _CEILING))


def _wrong(tally: Tally, reading: str) -> dict[str, float]:
    told = tally["told", reading]
    if not told or not strength(reading, "unknown"):
        return {}
    both = {"unknown": tally["unknown", reading]}
    if default_rate(reading, "misread") and strength(reading, "misread"):
        both["misread"] = tally["misread", reading]
    return {rate: min(_shrunk(reading, rate, n, told), 0.49) for rate, n in both.items()}


def _presence(tally: Tally, reading: str) -> dict[str, float]:
    out: dict[str, float] = {}
    if there := tally["there", reading]:
        out["missed"] = _shrunk(reading, "missed", tally["there, read absent", reading], there)
    if nothing := tally["nothing", reading]:
        seen = nothing - tally["nothing, read absent", reading]
        out["imagined"] = _shrunk(reading, "imagined", seen, nothing)
        out["plain_named"] = _shrunk("name", "plain_named", tally["nothing, named", reading], seen)
    if looked := tally["looked", reading]:
        out["absence"] = _shrunk(reading, "absence", tally["nothing found", reading], looked)
    return {rate: value for rate, value in out.items() if rate == "plain_named" or strength(reading, rate) > 0}


def _weights(tally: Tally, start: str, prefix: str) -> Learned:
    """Weights of the ways of naming, or of the companies, from what each word typed may have come by."""
    defaults = {name: default_rate("name", prefix + name) or 0.0 for name in rate_names("name", prefix)}
    found: dict[str, list[tuple[dict[str, float], float]]] = {}
    for key, n in sorted(tally.items()):
        if key[0] == start and n > 0:
            parts = (part.rpartition("=") for part in key[2].split("|"))
            found.setdefault(key[1], []).append(({name: float(p) for name, _, p in parts}, n / STEP))
    return {
        reading: {prefix + name: weight for name, weight in _settled(events, defaults, prefix).items()}
        for reading, events in found.items()
    }


def _settled(
    events: list[tuple[dict[str, float], float]], defaults: Mapping[str, float], prefix: str
) -> dict[str, float]:
    """Weights that make the words typed likeliest, each way chosen among those there were (Hunter 2004), by EM."""
    names = list(defaults)
    p = np.array([[event.get(name, -1.0) for name in names] for event, _ in events])
    n, offered, p = np.array([n for _, n in events]), p >= 0.0, np.maximum(p, 0.0)
    prior = np.array([defaults[name] for name in names])
    total, keep = prior.sum(), strength("name", prefix + names[0])
    weights = prior = prior / total
    for _ in range(_ROUNDS):
        came = p * weights
        came /= np.maximum(came.sum(axis=1, keepdims=True), 1e-300)
        chosen = (n / (offered * weights).sum(axis=1)) @ offered
        weights = (n @ came + keep * prior) / (chosen + keep / weights.sum())
        weights = weights / weights.sum()
    seen = zip(names, weights.tolist(), np.atleast_1d(offered.any(axis=0)).tolist(), strict=True)
    return {name: max(float(weight * total), 1e-3) for name, weight, there in seen if there}


def _slips(tally: Tally) -> Learned:
    """How characters are misread: changed, lost and added."""
    out: Learned = {}
    for reading in ("mark", "number"):
        stood = tally["slips", reading, "stood"]
        if not stood:
            continue
        events = {"substitution": "changed", "loss_open": "lost runs", "insertion": "added runs"}
        out[reading] = {
            rate: min(_shrunk(reading, rate, tally["slips", reading, what], stood), 0.3)
            for rate, what in events.items()
        }
        for rate, what in {"loss_run": "lost", "insertion_run": "added"}.items():
            runs, characters = tally["slips", reading, what + " runs"] / STEP, tally["slips", reading, what] / STEP
            default = default_rate(reading, rate) or 0.0
            again, ended = characters - runs + 10 * default, runs + 10 * (1 - default)
            out[reading][rate] = again / (again + ended)
    return out


def _moments(tally: Tally, key: Key) -> tuple[float, float, float]:
    """Number, mean and variance about the mean."""
    n, total, squares = (tally[*key, what] for what in ("n", "sum", "squares"))
    if not n:
        return 0.0, 0.0, 0.0
    mean = total / n / FINE
    return n / STEP, mean, max(squares / n / FINE - mean * mean, 0.0)


def _towards(reading: str, rates: tuple[str, str], found: tuple[float, float, float]) -> dict[str, float]:
    """Mean and spread, each shrunk to its default."""
    n, mean, variance = found
    if n == 0:
        return {}
    middle, spread = (default_rate(reading, rate) or 0.0 for rate in rates)
    weight = strength(reading, rates[1])
    moved = n * weight / (n + weight) * (mean - middle) ** 2
    return {
        rates[0]: (n * mean + weight * middle) / (n + weight),
        rates[1]: sqrt((n * variance + weight * spread**2 + moved) / (n + weight)),
    }


def _sizes(tally: Tally) -> Learned:
    out: Learned = {}
    for reading in ("across", "height", "capacity"):
        found = _towards(reading, ("log_mean", "log_sd"), _moments(tally, ("size met", reading)))
        if measured := tally["measured", reading]:
            found["misread"] = _shrunk(reading, "misread", tally["measured wrong", reading], measured)
            found["freedom"] = _freedom(_moments(tally, ("tails", reading)))
        out[reading] = found
    offset = _moments(tally, ("offset", "trade_size"))
    if offset[0] > 0:
        out["trade_size"] = {**_towards("trade_size", ("offset_mean", "offset_sd"), offset), "offset_n": offset[0]}
    return out


def _freedom(squares: tuple[float, float, float]) -> float:
    """Degrees of freedom of Student's t from the moments of squared deviations: its excess kurtosis is 6 / (f - 4)."""
    n, mean, variance = squares
    weight, usual = strength("size", "freedom"), 6.0 / ((default_rate("size", "freedom") or 5.0) - 4.0)
    excess = max(variance / mean**2 - 2.0, 0.0) if mean > 0 else usual
    freedom = 4.0 + 6.0 * (n + weight) / max(n * excess + weight * usual, 1e-9)
    return float(min(2 * round((freedom - 1.0) / 2.0) + 1, 15))  # odd: whole powers are quick


def _other(tally: Tally) -> Learned:
    """Spread of colours, and where marks are."""
    glaze: dict[str, float] = {}
    for axis in ("lightness", "a", "b"):
        found = _moments(tally, ("colour met", axis))
        glaze |= _towards("glaze", ("base_" + axis, "base_sd_" + axis), found)
        glaze |= _batch(tally, axis)
    if told := tally["colour", "told"]:
        glaze["in_clay"] = _shrunk("glaze", "in_clay", tally["colour", "elsewhere"], told)
    clay, printed = tally["mark", "in_clay"], tally["mark", "printed"]
    mark = {"in_clay": _shrunk("mark", "in_clay", clay, clay + printed)} if clay + printed else {}
    return {"glaze": glaze, "mark": mark}


def _batch(tally: Tally, axis: str) -> dict[str, float]:
    """Spread from batch to batch: what the instruments' do not account for."""
    rate = "batch_" + axis
    weight, total = strength("glaze", rate), 0.0
    count = 0.0
    for given in ("lab", "rgb"):
        n, mean, variance = _moments(tally, ("colour off", given, axis))
        read = default_rate("glaze", "instrument_" + given) or 0.0
        total += n * max(variance + mean * mean - read * read, 0.25)
        count += n
    default = default_rate("glaze", rate) or 0.0
    return {rate: sqrt((total + weight * default**2) / (count + weight))} if count else {}


def _misread(tally: Tally) -> dict[str, dict[str, dict[str, float]]]:
    out: dict[str, dict[str, dict[str, float]]] = {}
    for key, n in sorted(tally.items()):
        if key[0] == "misread as" and n > 0:
            out.setdefault(key[1], {}).setdefault(key[2], {})[key[3]] = n / STEP
    return out


def _typed(tally: Tally) -> dict[str, dict[str, float]]:
    out: dict[str, dict[str, float]] = {}
    for key, n in sorted(tally.items()):
        if key[0] == "word" and n > 0:
            out.setdefault(key[1], {})[key[2]] = n / STEP
    return out


def _measured(tally: Tally) -> dict[str, dict[str, dict[str, float]]]:
    out: dict[str, dict[str, dict[str, float]]] = {}
    for key, n in sorted(tally.items()):
        if key[0] == "measured" and len(key) == 4 and n != 0:
            scale = STEP if key[3] == "n" else STEP * FINE
            out.setdefault(key[1], {}).setdefault(key[2], {"n": 0.0, "sum": 0.0, "squares": 0.0})[key[3]] = n / scale
    return out
