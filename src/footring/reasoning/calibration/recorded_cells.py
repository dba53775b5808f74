"""A classifier's answers on all attributes at once: over the cells it has met, and for new ones as independent."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from scipy.special import softmax

from footring.reasoning.calibration.answers import Answers, Index, answers, in_parts, joint_answers, together
from footring.reasoning.calibration.arrays import Floats
from footring.reasoning.calibration.simulated import JOINT
from footring.reasoning.calibration.smoothing import chance_of_new, fit_to_truths
from footring.reasoning.calibration.training import Laid, distinct, held_out, places

PARTS = JOINT[1:]
Tables = Mapping[str, Floats]


def over_cells(held: Tables, asked: Tables, data: Laid, truth: Index) -> Answers:
    """Whole cells, as likely as the product over their parts, divided out over the cells met.

    A share of the probability, as much as of the pieces met are the only ones of their cell (Good 1953), goes to the
    product itself, over everything that could be. The temperature is fitted on the pieces held out (Guo 2017).

    Parameters
    ----------
    held, asked : mapping of attribute to array, shape (pieces, values)
        Probabilities of form, body, glaze, decoration and trim: of the pieces `held_out`, from the others; and of the
        pieces asked, from all.
    truth : int array, shape (asked, 6)
        Rows of line, form, body, glaze, decoration and trim.
    """
    kept, out = held_out(data.known)
    fewer, which = distinct(kept.truth)
    new, place, apart = chance_of_new(which), places(fewer, out.truth), _apart(held, out.truth)
    log, rows = _log(held, fewer, slice(None)), np.arange(len(out))

    def of_truth(temperature: float) -> Floats:
        met = softmax(log / temperature, axis=1)[rows, place]
        return np.asarray((1 - new) * np.where(place >= 0, met, 0.0) + new * apart)

    fitted = fit_to_truths(of_truth, data.combinations)
    cells, which = distinct(data.known.truth)
    new, place = chance_of_new(which), places(cells, truth)
    found = together(
        answers(np.asarray(softmax(_log(asked, cells, part) / fitted.temperature, axis=1)), place[part])
        for part in in_parts(len(truth), len(cells))
    )
    p = (1 - new) * np.exp(found.log_p) + new * _apart(asked, truth)
    floored = (1 - fitted.share) * p + fitted.share / data.combinations
    return joint_answers(floored, (1 - fitted.share) * (1 - new) * found.first_p, found.right)


def _log(tables: Tables, cells: Index, part: slice) -> Floats:
    """Log of the product over the parts of each cell, shape (pieces, cells)."""
    columns = ((tables[name][part], cells[:, JOINT.index(name)]) for name in PARTS)
    return np.asarray(sum(np.log(np.maximum(p, 1e-300))[:, values] for p, values in columns))


def _apart(tables: Tables, truth: Index) -> Floats:
    """Product of what each part's truth is given, shape (pieces,)."""
    rows, columns = np.arange(len(truth)), {name: truth[:, JOINT.index(name)] for name in PARTS}
    each = [np.where(values >= 0, tables[name][rows, values], 0.0) for name, values in columns.items()]
    return np.asarray(np.prod(each, axis=0))
