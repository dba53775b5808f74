"""What each attribute is, whatever the others are; given that the piece is not from outside."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.model import Model
from footring.reasoning.posterior import Free, Weighed, average
from footring.reference.weights import sums

Floats = NDArray[np.float64]
PARTS = ("body", "glaze", "decoration", "trim")


def marginals(weighed: Weighed) -> dict[str, Floats]:
    """Mass of every value of maker, line, form, size and the parts of the treatment.

    Returns
    -------
    mapping of name to array
        In the parts a new value stands last; all sum to `weighed.total`. A part that nobody said of a treatment is
        spread as such parts are on the average, after what was read.
    """
    model = weighed.model
    known, form_line = model.known, model.form_line
    open_form = weighed.unrecorded_form
    form = sums(known.cell_form, weighed.cell, len(form_line)) + open_form
    line = sums(form_line, form, len(model.line_maker))
    found = {
        "maker": sums(model.line_maker, line, len(model.reference.tables["makers"])),
        "line": line,
        "form": form,
        "size": _sizes(weighed, form),
    }
    treatment = sums(known.cell_treatment, weighed.cell, len(known.treatments))
    listed, free = open_masses(weighed)
    treatment = treatment + np.maximum(listed, 0.0)
    for column, name in enumerate(PARTS, start=1):
        values = known.treatments[:, column]
        share = average(model, name) * weighed.part[name][:-1]
        mass = sums(values[values >= 0], treatment[values >= 0], len(share))
        mass += treatment[values < 0].sum() * share / max(share.sum(), 1e-300) + free[name]
        found[name] = mass * (weighed.total / max(mass.sum(), 1e-300))
    return found


def _sizes(weighed: Weighed, form: Floats) -> Floats:
    model = weighed.model
    share = model.size_share * (weighed.slots["size"].p[:-1] if "size" in weighed.slots else 1.0)
    total = sums(model.size_form, share, len(form))
    return np.asarray(form[model.size_form] * share / np.maximum(total[model.size_form], 1e-300))


def open_masses(weighed: Weighed) -> tuple[Floats, dict[str, Floats]]:
    """Mass that is not recorded, by treatment listed for the line, and by part of the product."""
    m = weighed.model
    known, shares, classes = m.known, m.shares, m.classes
    met = weighed.e[classes.meeting_e]
    room = weighed.form * shares.form_rest
    free_room = room * shares.line_rest[m.form_line] * weighed.body
    count = m.class_of_treatment.shape[0]
    forms = int(classes.form.max(initial=-1)) + 1
    by_class, free_class = (
        sums(classes.meeting_treatment, met * sums(classes.form, r, forms)[classes.meeting_form], count)
        if len(met)
        else np.zeros(count)
        for r in (room, free_room)
    )
    listed = shares.treatment * weighed.treatment * by_class[classes.treatment]
    k = known.cell_treatment
    taken = weighed.form[known.cell_form] * shares.form_rest[known.cell_form] * met[classes.cell_meeting]
    listed = listed - sums(k, taken * (shares.treatment * weighed.treatment)[k], len(listed))
    return listed, _free_parts(weighed, weighed.free, free_class, free_room)


def _free_parts(weighed: Weighed, free: Free, by_class: Floats, room: Floats) -> dict[str, Floats]:
    m, parts, classes = weighed.model, weighed.model.shares.parts, weighed.model.classes
    pair, other = free.pair * by_class[classes.pair], free.other * by_class[classes.line]
    decoration = sums(parts.pair_decoration, pair, len(parts.decoration))
    rest = parts.decoration * weighed.part["decoration"][:-1]
    decoration += other.sum() * rest / max(rest.sum(), 1e-300)
    of_line = sums(parts.pair_line, pair, len(other)) + other
    glaze = (of_line / np.maximum(free.glazes.sum(axis=1), 1e-300)) @ free.glazes
    edges = pair / np.maximum(free.edge, 1e-300)
    trim_p = weighed.part["trim"][:-1]
    trim = sums(parts.edge_trim, edges[parts.edge_pair] * parts.edge_share * trim_p[parts.edge_trim], len(trim_p))
    bare = sums(parts.pair_line, edges * parts.edge_rest, len(other)) + other / np.maximum(free.trims, 1e-300)
    trim = trim + (bare @ parts.trim) * trim_p
    body = (room / np.maximum(weighed.body, 1e-300)) @ parts.body * weighed.part["body"][:-1]
    taken = _taken(m, weighed)
    of_cells = m.known.treatments[m.known.cell_treatment]
    found = {}
    for column, (name, mass) in enumerate(
        {
            "body": body * (of_line.sum() / max(body.sum(), 1e-300)),
            "glaze": glaze,
            "decoration": decoration,
            "trim": trim,
        }.items(),
        start=1,
    ):
        values = of_cells[:, column]
        said = values >= 0
        found[name] = np.maximum(mass - sums(values[said], taken[said], len(mass)), 0.0)
    return found


def _taken(m: Model, weighed: Weighed) -> Floats:
    known, shares, classes = m.known, m.shares, m.classes
    free = shares.form_rest[known.cell_form] * shares.line_rest[m.cell_line] * shares.cell_product
    plain = weighed.plain[known.cell_treatment] * weighed.else_number[m.cell_line]
    return np.asarray(weighed.form[known.cell_form] * weighed.e[classes.meeting_e][classes.cell_product] * free * plain)
