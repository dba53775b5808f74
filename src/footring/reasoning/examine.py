"""Put readings in, get what the piece is, when it was made, how sure, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

import footring
from footring.care.cautions import cautions
from footring.marks import datecodes, registration
from footring.marks.datecode_schemes import builtin_schemes
from footring.marks.foot import Foot
from footring.marks.readings import Reading, feet
from footring.reasoning.attributions import MOST, attributions
from footring.reasoning.date_marginals import piece_dates
from footring.reasoning.date_mark import rules_digest
from footring.reasoning.examination import examine_part
from footring.reasoning.explain import Explanation
from footring.reasoning.explain import explain as explain_all
from footring.reasoning.finding import Finding, Share, named_marginals
from footring.reasoning.lids import lid_forms, pairing, restricted
from footring.reasoning.model import Model, compile_model
from footring.reasoning.parameters import Parameters
from footring.reasoning.thing_names import Names
from footring.reference import Reference
from footring.terms.errors import BadInput

Floats = NDArray[np.float64]


def examine(
    reference: Reference | Model,
    readings: Iterable[Reading],
    *,
    parameters: Parameters | None = None,
    without_piece: str | None = None,
    about: str | None = None,
) -> Finding:
    """What a piece is and when it was made, how sure, and why.

    Parameters
    ----------
    reference : Reference or Model
        What is known; may be empty: then the general rules date it, and nothing more. A model is a reference that was
        made ready before, with its own parameters.
    readings : iterable of Reading
        In any order; with none of them the answer is what is expected of any piece. Those of part "lid" are examined
        apart.
    parameters : Parameters, optional
        As `learn` gives them; else the defaults. Not with a model.
    without_piece : str, optional
        A piece to leave out of the reference, as if nobody had attributed it. Not with a model.
    about : str, optional
        What the next thing to look at should tell most of; else of line, form, treatment and outside.

    Raises
    ------
    BadInput
        If a reading's value cannot be read, or the model is asked to be another one.

    Notes
    -----
    When *not* to use it: for a piece of which a lid and a base may be of different makers, read them apart.

    Examples
    --------
    >>> from footring.reference import compile_reference
    >>> from footring.rows.reference_things import Form, Line, Maker
    >>> known = compile_reference({
    ...     "makers": [Maker("q", name="Quillow & Tarn Works")],
    ...     "lines": [Line("o", maker="q", name="Ormsley"), Line("w", maker="q", name="Wherry")],
    ...     "forms": [Form("f", line="o", name="Covered dish"), Form("g", line="w", name="Tea cup")],
    ... })
    >>> finding = examine(known, [Reading("line", "Ormsley")])
    >>> finding.marginals["form"][0][0], finding.outside < 0.1
    ('Covered dish', True)
    """
    return Examiner(reference, parameters, without_piece).finding(readings, about=about)


def examine_batch(
    reference: Reference | Model,
    pieces: Iterable[Iterable[Reading]],
    *,
    parameters: Parameters | None = None,
    explain: bool = False,
) -> list[Finding]:
    """Many pieces against one reference, which is made ready once.

    Parameters
    ----------
    reference : Reference or Model
        As for `examine`.
    pieces : iterable of iterables of Reading
        The readings of each piece.
    parameters : Parameters, optional
        As for `examine`.
    explain : bool
        Work out evidence, conflicts, what is unusual and what is next as well; the rest is the same without.

    Returns
    -------
    list of Finding
        The same as `examine` gives for each piece.
    """
    return list(Examiner(reference, parameters).findings(pieces, explain=explain))


class Examiner:
    """A reference made ready for one piece after another.

    Parameters
    ----------
    reference : Reference or Model
    parameters : Parameters, optional
        Not with a model.
    without_piece : str, optional
        Not with a model.
    """

    def __init__(
        self, reference: Reference | Model, parameters: Parameters | None = None, without_piece: str | None = None
    ) -> None:
        if isinstance(reference, Model):
            if parameters is not None or without_piece is not None:
                raise BadInput(
                    "a model has its parameters and pieces already: give a reference, or leave out parameters and "
                    "without_piece"
                )
            self.model = reference
        else:
            self.model = compile_model(reference, parameters, without_piece=without_piece)
        self._names = Names(self.model.reference)
        self._provenance = _provenance(self.model, without_piece)

    def findings(self, pieces: Iterable[Iterable[Reading]], *, explain: bool = False) -> Iterator[Finding]:
        """One piece after another."""
        return (self.finding(readings, explain=explain) for readings in pieces)

    def finding(
        self, readings: Iterable[Reading], *, explain: bool = True, about: str | None = None, most: int = MOST
    ) -> Finding:
        """One piece, and its lid where it was read apart; see `examine`.

        Parameters
        ----------
        readings : iterable of Reading
        explain : bool
            Work out evidence, conflicts, what is unusual and what is next as well.
        about : str, optional
            As for `examine`.
        most : int
            Attributions that are told, at most. With 0 it is quick whatever was read: where little was, finding the
            likeliest of many alike takes seconds with a large reference. Of a lid and a base read apart all are told:
            whether they were issued together rests on them.
        """
        read = tuple(readings)
        lid = [reading for reading in read if reading.part == "lid"]
        base = [reading for reading in read if reading.part != "lid"]
        if not lid:
            return self._part(base, None, explain, about, most)
        lids = lid_forms(self.model)
        of_lid = self._part(lid, restricted(self.model, lids), explain, about, MOST)
        whole = self._part(base, restricted(self.model, ~lids), explain, about, MOST)
        pair = pairing(self.model, of_lid, whole)
        return replace(
            whole,
            lid=of_lid,
            conflicts=(*whole.conflicts, *([pair.conflict] if pair.conflict else [])),
            together=pair.note,
        )

    def _part(
        self, readings: Sequence[Reading], forms: Floats | None, explain: bool, about: str | None, most: int
    ) -> Finding:
        whole = [replace(reading, part=None) if reading.part == "lid" else reading for reading in readings]
        examination = examine_part(self.model, whole, forms)
        told = attributions(examination, self._names, most=most)
        dates = piece_dates(examination)
        marginals = named_marginals(examination, self._names)
        foot = feet(whole)[None]
        codes = (*builtin_schemes(), *self.model.rules.schemes)
        decorated = dates["decorated"].intervals[95]
        why = explain_all(examination, about) if explain else Explanation((), (), (), ())
        unread = () if examination.dates.codes else tuple(datecodes.notes(foot, codes))
        return Finding(
            readings=tuple(readings),
            outside=examination.outside,
            unrecorded=examination.unrecorded,
            rest=told.rest,
            attributions=told.rows,
            marginals=marginals,
            dates=dates,
            evidence=why.evidence,
            conflicts=why.conflicts,
            unusual=why.unusual,
            next=why.next,
            cautions=tuple(cautions(_with_names(foot, marginals), (decorated[0][0], decorated[-1][1]))),
            notes=(*foot.notes, *unread, *registration.remarks(foot)),
            provenance=self._provenance,
            about=about,
        )


def _provenance(model: Model, without_piece: str | None) -> dict[str, str]:
    return {
        "footring": footring.__version__,
        "rules": rules_digest(),
        "reference": model.reference.digest,
        "parameters": model.parameters.digest,
        "prior": model.prior.name,
        "prior_digest": model.prior.digest,
        **({"without_piece": without_piece} if without_piece is not None else {}),
    }


def _with_names(foot: Foot, marginals: Mapping[str, Sequence[Share]]) -> Foot:
    """The foot, with what the piece may well be, so that what it is asks for its cautions too."""
    may_be = (name for of in ("line", "form", "body", "glaze", "trim") for name, p, id_ in marginals.get(of, ())
              if id_ and p >= MAY_BE)  # fmt: skip
    return replace(foot, notes=(*foot.notes, *may_be))


MAY_BE = 0.05
"""Probability from which a thing asks for its cautions."""
