"""What each attribute is, whatever the others are; given that the piece is not from outside."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.posterior import Weighed
from footring.reference import TREATMENT
from footring.reference.weights import sums

Floats = NDArray[np.float64]


def marginals(weighed: Weighed) -> dict[str, Floats]:
    """Mass of every value of maker, line, form, size and the parts of the treatment.

    Returns
    -------
    mapping of name to array
        In the parts a new value stands last; all sum to `weighed.total`. A part that nobody said of a treatment is
        spread as such parts are on its line, after what was read.
    """
    model = weighed.model
    known, form_line = model.known, model.form_line
    open_form = weighed.unrecorded_form
    form = sums(model.cells.form, weighed.cell, len(form_line)) + open_form
    line = sums(form_line, form, len(model.line_maker))
    found = {
        "maker": sums(model.line_maker, line, len(model.reference.tables["makers"])),
        "line": line,
        "form": form,
        "size": _sizes(weighed, form),
    }
    treatment = sums(model.cells.treatment, weighed.cell, len(known.treatments))
    listed, free = open_masses(weighed)
    treatment = treatment + np.maximum(listed, 0.0)
    for column, name in enumerate(TREATMENT, start=1):
        values = known.treatments[:, column]
        said, read = values >= 0, model.on_line[name] * weighed.part[name]
        unsaid = sums(known.treatments[~said, 0], treatment[~said], len(read)) / np.maximum(read.sum(axis=1), 1e-300)
        found[name] = sums(values[said], treatment[said], read.shape[1]) + unsaid @ read + free[name]
    return found


def _sizes(weighed: Weighed, form: Floats) -> Floats:
    model = weighed.model
    share = model.size_share * (weighed.slots["size"].p[:-1] if "size" in weighed.slots else 1.0)
    total = sums(model.size_form, share, len(form))
    return np.asarray(form[model.size_form] * share / np.maximum(total[model.size_form], 1e-300))


def open_masses(weighed: Weighed) -> tuple[Floats, dict[str, Floats]]:
    """Mass that is not recorded, by treatment listed for the line, and by part of the product."""
    m = weighed.model
    shares, classes = m.shares, m.classes
    met = weighed.e[classes.meeting_e]
    room = weighed.form * shares.form_rest
    bare_room = room * shares.line_rest[m.form_line]
    count = m.class_of_treatment.shape[0]
    forms = int(classes.form.max(initial=-1)) + 1
    by_class, free_class = (
        sums(classes.meeting_treatment, met * sums(classes.form, r, forms)[classes.meeting_form], count)
        if len(met)
        else np.zeros(count)
        for r in (room, bare_room * weighed.body)
    )
    listed = shares.treatment * weighed.treatment * by_class[classes.treatment]
    taken = weighed.form[m.cells.form] * weighed.listed_part
    listed = listed - sums(m.cells.treatment, taken, len(listed))
    of_form = sums(classes.meeting_form, met * weighed.free.by_class[classes.meeting_treatment], forms)
    return listed, _free_parts(weighed, free_class, bare_room * of_form[classes.form])


def _free_parts(weighed: Weighed, by_class: Floats, by_form: Floats) -> dict[str, Floats]:
    """Mass of the product by part, from what forms leave each class, and from the mass of each form without a body."""
    m, free = weighed.model, weighed.free
    found = {
        "body": by_form @ m.shares.parts.body * weighed.part["body"],
        "glaze": _free_glazes(weighed, by_class),
        "decoration": _free_decorations(weighed, by_class),
        "trim": _free_trims(weighed, free.pair * by_class[m.classes.pair], free.other * by_class[m.classes.line]),
    }
    taken = weighed.form[m.cells.form] * weighed.free_part
    of_treatment = sums(m.cells.treatment, taken, len(m.known.treatments))
    for column, (name, mass) in enumerate(found.items(), start=1):
        values = m.known.treatments[:, column]
        said = values >= 0
        found[name] = np.maximum(mass - sums(values[said], of_treatment[said], len(mass)), 0.0)
    return found


def _free_glazes(weighed: Weighed, by_class: Floats) -> Floats:
    m, parts, free = weighed.model, weighed.model.shares.parts, weighed.free
    line, read = parts.pair_line, weighed.part["decoration"][parts.pair_decoration]
    pair = read * free.edge * weighed.else_number[line] * by_class[m.classes.pair]
    met = parts.met_share * free.glazes[line[parts.met_pair], parts.met_glaze] * pair[parts.met_pair]
    rest = free.glazes * parts.glaze_rest
    other = free.other * by_class[m.classes.line] / np.maximum(rest.sum(axis=1), 1e-300)
    left = sums(line, parts.pair_share * pair, len(other)) + other
    return np.asarray(sums(parts.met_glaze, met, rest.shape[1]) + left @ rest)


def _free_decorations(weighed: Weighed, by_class: Floats) -> Floats:
    """Those recorded on a line by pair; on each line the others as they are everywhere."""
    m, parts, free = weighed.model, weighed.model.shares.parts, weighed.free
    of_pair = sums(parts.pair_decoration, free.pair * by_class[m.classes.pair], len(parts.decoration))
    read = parts.decoration * weighed.part["decoration"]
    known = sums(parts.pair_line, read[parts.pair_decoration], len(free.other))
    each = free.other * by_class[m.classes.line] / np.maximum(read.sum() - known, 1e-300)
    gone = sums(parts.pair_decoration, each[parts.pair_line], len(read))
    return np.asarray(of_pair + np.maximum(each.sum() - gone, 0.0) * read)


def _free_trims(weighed: Weighed, pair: Floats, other: Floats) -> Floats:
    parts, free, read = weighed.model.shares.parts, weighed.free, weighed.part["trim"]
    edges = pair / np.maximum(free.edge, 1e-300)
    own = sums(parts.edge_trim, edges[parts.edge_pair] * parts.edge_share * read[parts.edge_trim], len(read))
    bare = sums(parts.pair_line, edges * parts.edge_rest, len(other)) + other / np.maximum(free.trims, 1e-300)
    return np.asarray(own + (bare @ parts.trim) * read)
