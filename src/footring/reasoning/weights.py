"""How much each reading says, in decibans and in words."""

from __future__ import annotations

import math

from footring.reasoning.intervals import Floats

LIMIT_DB = 60.0


def weight_db(p_after: float, p_before: float) -> float:
    """Weight of evidence for an answer against all others, in decibans [good1950]_.

    10 log10 of the odds after over the odds before, cut at +-60: beyond that the figure says more about the model
    than about the piece.

    Parameters
    ----------
    p_after, p_before : float
        Probability of the answer with and without the evidence, 0 to 1.

    Examples
    --------
    >>> round(weight_db(0.8, 0.5), 3)
    6.021
    >>> weight_db(1.0, 0.5)
    60.0
    """
    return max(-LIMIT_DB, min(LIMIT_DB, 10.0 * (_log10_odds(p_after) - _log10_odds(p_before))))


def _log10_odds(p: float) -> float:
    tiny = 1e-300
    return math.log10(max(p, tiny)) - math.log10(max(1.0 - p, tiny))


def weight_words(db: float) -> str:
    """A weight as a sentence fragment.

    Examples
    --------
    >>> weight_words(10.8), weight_words(-3), weight_words(0.1), weight_words(60)
    ('12 times more likely', '2 times less likely', 'says next to nothing', 'over a million times more likely')
    """
    if abs(db) < 0.8:
        return "says next to nothing"
    direction = "more" if db > 0 else "less"
    if abs(db) >= LIMIT_DB:
        return f"over a million times {direction} likely"
    times: float = 10.0 ** (abs(db) / 10.0)
    two_figures = float(f"{times:.2g}")
    figure = f"{times:.1f}" if times < 1.95 else f"{two_figures:,.0f}"
    return f"{figure} times {direction} likely"


def probability_in(density: Floats, inside: Floats) -> float:
    """Probability of a set of years; `inside` is 1 for years in it, 0 for others."""
    return min(1.0, float(density @ inside))
