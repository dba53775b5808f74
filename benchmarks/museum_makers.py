"""Makers of museum pieces from the transcription of their mark alone, beside a classifier of characters.

    python benchmarks/museum_makers.py [--rows]

The records become a pack: each maker with one line, each mark as the museum transcribed it, each piece met in its
acquisition lot and attributed to its maker. One lot after another is left out; the rest is compiled and learned from,
and each record of the lot is examined by its mark alone, as `footring examine` would. What is true is the maker where
other lots have pieces of it, else "outside". Records of which the museum names no maker are left out, as
tests/gold/museum_makers.csv says.

n-grams    1 to 4 characters of a word (char_wb), weighed by TF-IDF, and a logistic regression, makers alike. Within
           the other lots each lot is left out again: how far to regularise is what foretells those best, and whether
           a piece is from outside is a second logistic regression, on how sure the first was, how far the likest maker
           was ahead, and how like the likest text was. Its lengths and weights were chosen with a look at these very
           records, which flatters it.

Records of one lot came together, so intervals are over lots. Log loss is the mean of -ln p(what is true); "outside"
how often a record whose maker no other lot has is given a higher chance of it than one whose maker another lot has.

Data: see NOTICE.
"""

from __future__ import annotations

import argparse
import csv
import warnings
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import log
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit
from sklearn.exceptions import ConvergenceWarning
from sklearn.feature_extraction.text import CountVectorizer, TfidfTransformer
from sklearn.linear_model import LogisticRegression

from footring.marks.readings import Reading
from footring.reasoning.calibration.auroc import auroc
from footring.reasoning.calibration.bootstrap import Interval, mean_interval, statistic_interval
from footring.reasoning.channels.marks import MarkRead, marks_read
from footring.reasoning.examine import examine_batch
from footring.reasoning.learn import learn
from footring.reference import compile_reference
from footring.rows import Row, collection
from footring.rows import reference_things as things

Floats = NDArray[np.float64]
Answer = Mapping[str, float]
OUTSIDE = "outside"
GOLD = Path(__file__).parents[1] / "tests" / "gold"
STRENGTHS = (100.0, 1000.0)
"""Inverse regularisation, of the regression."""
LEAST = 1e-9
"""Chance that any answer is taken to have had, so that log loss is finite."""
COLUMNS = ("log loss, nat", "first answer right", "known makers right", "outside told, area")
SIDES = {"in_clay": ("mark_in_clay", "impressed"), "printed": ("mark_printed", "printed"), None: ("mark_printed", None)}


@dataclass(frozen=True, slots=True)
class Record:
    """A museum's record: its acquisition lot, its maker, and the mark as transcribed."""

    lot: str
    maker: str
    mark: str


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rows", action="store_true", help="list the records that are named wrong, one line each kind")
    given = parser.parse_args()
    records = read_records()
    truths = [truth(record, records) for record in records]
    methods = {"Footring": footring_answers(records), "n-grams": ngram_answers(records)}
    show(records, truths, methods)
    if given.rows:
        wrong_rows(records, truths, methods["Footring"])


# ---- records


def read_records(folder: Path = GOLD) -> list[Record]:
    """Records of which the museum names a maker."""
    keys = {row["maker"]: row["key"] for row in _csv(folder / "museum_makers.csv")}
    rows = _csv(folder / "museum_marked.csv")
    return [Record(row["group_key"], keys[row["maker"]], row["mark_text"]) for row in rows if keys[row["maker"]]]


def _csv(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def lots_of(records: Sequence[Record]) -> list[str]:
    return sorted({record.lot for record in records})


def truth(record: Record, records: Sequence[Record]) -> str:
    """The maker where another lot has a piece of it, else `OUTSIDE`."""
    elsewhere = any(other.maker == record.maker and other.lot != record.lot for other in records)
    return record.maker if elsewhere else OUTSIDE


# ---- Footring


def pack(records: Sequence[Record]) -> dict[str, list[Row]]:
    """Rows of a pack that holds what these records tell."""
    makers = sorted({record.maker for record in records})
    marks: dict[tuple[str, MarkRead], str] = {}
    rows: dict[str, list[Row]] = {
        "makers": [things.Maker(f"m.{key}", name=key) for key in makers],
        "lines": [things.Line(f"l.{key}", maker=f"m.{key}", name=key) for key in makers],
        "forms": [things.Form(f"f.{key}", line=f"l.{key}", name="ware") for key in makers],
        "channels": [collection.Channel("lot", name="an acquisition, all of it", selected=False)],
        "outings": [collection.Outing(lot, channel="lot", logged="everything") for lot in lots_of(records)],
        "pieces": [], "encounters": [], "attributions": [],
    }  # fmt: skip
    for i, record in enumerate(records):
        carried = {SIDES[read.where][0]: marks.setdefault((record.maker, read), f"k{len(marks)}")
                   for read in _marks(record)}  # fmt: skip
        rows["pieces"].append(collection.Piece(f"x{i}"))
        rows["encounters"].append(collection.Encounter(f"e{i}", piece=f"x{i}", outing=record.lot))
        rows["attributions"].append(
            collection.Attribution(f"a{i}", piece=f"x{i}", line=f"l.{record.maker}", form=f"f.{record.maker}",
                                   weight=1.0, basis="confirmed", **carried)
        )  # fmt: skip
    rows["marks"] = [
        things.Mark(name, maker=f"m.{maker}", lettering=read.lettering or None, device=read.device or None,
                    technique=SIDES[read.where][1])
        for (maker, read), name in marks.items()
    ]  # fmt: skip
    return rows


def _marks(record: Record) -> Iterator[MarkRead]:
    """Marks with anything written or shown; a label is no mark, and one of no known kind goes with the printed."""
    for read in marks_read(Reading("mark", record.mark), None):
        if read.where in SIDES and (read.lettering or read.device):
            yield read


def footring_answers(records: Sequence[Record]) -> list[Answer]:
    """Chances of each maker and of outside, for each record, its own lot left out."""
    found: dict[int, Answer] = {}
    for lot in lots_of(records):
        asked = {i: record for i, record in enumerate(records) if record.lot == lot}
        reference = compile_reference(pack([record for record in records if record.lot != lot]))
        pieces = [[Reading("mark", record.mark)] for record in asked.values()]
        findings = examine_batch(reference, pieces, parameters=learn(reference))
        for i, finding in zip(asked, findings, strict=True):
            makers = {name: p * (1.0 - finding.outside) for name, p, of in finding.marginals["line"] if of}
            found[i] = makers | {OUTSIDE: finding.outside}
    return [found[i] for i in range(len(records))]


# ---- n-grams


def ngram_answers(records: Sequence[Record]) -> list[Answer]:
    """The same by the classifier: fitted without one lot, and without that and each other to tune it."""
    counts = CountVectorizer(analyzer="char_wb", ngram_range=(1, 4), dtype=np.float64)
    texts = counts.fit_transform([record.mark for record in records]).tocsr()
    lots = lots_of(records)
    pairs = {frozenset(pair): Fitted(records, texts, pair) for pair in combinations(lots, 2)}
    found: dict[int, Answer] = {}
    for lot in lots:
        inner = {other: pairs[frozenset((lot, other))] for other in lots if other != lot}
        tried = [Tuned(records, inner, strength) for strength in range(len(STRENGTHS))]
        tuned, fitted = min(tried, key=lambda one: one.loss), Fitted(records, texts, [lot])
        found |= {i: tuned.answer(fitted, i) for i in fitted.asked}
    return [found[i] for i in range(len(records))]


class Fitted:
    """Classifiers of all strengths, fitted without some lots, and what they say of the records of those lots."""

    def __init__(self, records: Sequence[Record], texts: Any, without: Sequence[str]) -> None:
        out = np.isin([record.lot for record in records], list(without))
        weigh = TfidfTransformer(sublinear_tf=True).fit(texts[~out])
        known = np.asarray(texts[~out].sum(axis=0)).ravel() > 0
        train, asked = (weigh.transform(texts[rows])[:, known] for rows in (~out, out))
        self.asked = np.flatnonzero(out).tolist()
        self.likest = (asked @ train.T).toarray().max(axis=1)
        self.makers, self.p = _classified(train, [r.maker for r, o in zip(records, out, strict=True) if not o], asked)

    def chances(self, i: int, strength: int) -> dict[str, float]:
        """Of each maker, for one record."""
        return dict(zip(self.makers, self.p[strength][self.asked.index(i)].tolist(), strict=True))

    def features(self, i: int, strength: int) -> tuple[float, float, float]:
        """How sure the likest maker is, how far ahead of the next, and how like the likest text."""
        *_, second, first = sorted(self.chances(i, strength).values())
        return log(first), log(first / second), float(self.likest[self.asked.index(i)])


def _classified(train: Any, makers: Sequence[str], asked: Any) -> tuple[list[str], list[Floats]]:
    """Makers, and p(maker) of what is asked by strength; the regression in the few directions that texts span."""
    kernel = (train @ train.T).toarray()
    size, direction = np.linalg.eigh(kernel)
    basis = direction[:, size > 1e-9] / np.sqrt(size[size > 1e-9])
    rows, held = kernel @ basis, (asked @ train.T).toarray() @ basis
    models = [LogisticRegression(C=c, class_weight="balanced", max_iter=100) for c in STRENGTHS]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ConvergenceWarning)
        return sorted(set(makers)), [model.fit(rows, makers).predict_proba(held) for model in models]


class Tuned:
    """When to answer outside, and how well that foretells the other lots, each left out in turn."""

    def __init__(self, records: Sequence[Record], inner: Mapping[str, Fitted], strength: int) -> None:
        self.strength = strength
        held = [(fitted, i) for lot, fitted in inner.items() for i in fitted.asked if records[i].lot == lot]
        rows = [fitted.features(i, strength) for fitted, i in held]
        known = [records[i].maker in fitted.makers for fitted, i in held]
        self.model = LogisticRegression(C=10.0).fit(rows, np.logical_not(known))
        answers = [self.answer(fitted, i) for fitted, i in held]
        truths = [records[i].maker if here else OUTSIDE for (_, i), here in zip(held, known, strict=True)]
        self.loss = float(losses(truths, answers).mean())

    def answer(self, fitted: Fitted, i: int) -> Answer:
        """Chances of each maker and of outside."""
        features = np.array(fitted.features(i, self.strength))
        odds = float(self.model.coef_[0] @ features + self.model.intercept_[0])
        outside = float(expit(odds))
        return {maker: (1.0 - outside) * p for maker, p in fitted.chances(i, self.strength).items()} | {
            OUTSIDE: outside
        }


# ---- figures


def show(records: Sequence[Record], truths: Sequence[str], methods: Mapping[str, Sequence[Answer]]) -> None:
    known = sum(of != OUTSIDE for of in truths)
    print(f"{len(records)} records, {len(lots_of(records))} lots; of {known} records another lot has the maker")
    lots = [record.lot for record in records]
    ours, theirs = methods.values()
    for by_lot in (False, True):
        columns = COLUMNS[: 3 if by_lot else 4]
        print(f"\nby {'lot' if by_lot else 'record'}\n  {'':24}" + "".join(f"{name:>26}" for name in columns))
        for name, answers in methods.items():
            print(f"  {name:24}{_told(figures(truths, [answers], lots, by_lot))}")
        print(f"  {' less '.join(methods):24}{_told(figures(truths, [ours, theirs], lots, by_lot))}")


def _told(found: Sequence[Interval]) -> str:
    return "".join(f"{f'{of.value:.3f} ({of.low:.3f} to {of.high:.3f})':>26}" for of in found)


def losses(truths: Sequence[str], answers: Sequence[Answer]) -> Floats:
    given = [answer.get(of, 0.0) for of, answer in zip(truths, answers, strict=True)]
    return -np.log(np.maximum(given, LEAST))


def right(truths: Sequence[str], answers: Sequence[Answer]) -> Floats:
    return np.array([first(answer) == of for of, answer in zip(truths, answers, strict=True)], float)


def first(answer: Answer) -> str:
    return max(answer, key=answer.__getitem__)


def figures(
    truths: Sequence[str], methods: Sequence[Sequence[Answer]], lots: Sequence[str], by_lot: bool
) -> list[Interval]:
    """Log loss, first answers right, known makers right, and by record the area for outside, with 95 % intervals.

    Of one method, or of one less another, paired. By lot each lot counts alike.
    """
    everything, known = (np.array([of != OUTSIDE for of in truths]) >= least for least in (False, True))
    wanted = [(losses, everything), (right, everything), (right, known)]
    found = [_mean(_less([of(truths, answers) for answers in methods]), lots, rows, by_lot) for of, rows in wanted]
    outside = [np.array([answer[OUTSIDE] for answer in answers]) for answers in methods]
    return found if by_lot else [*found, _area(outside, ~known, lots)]


def _less(values: Sequence[Floats]) -> Floats:
    return values[0] - values[1] if len(values) > 1 else values[0]


def _mean(values: Floats, lots: Sequence[str], rows: NDArray[np.bool_], by_lot: bool) -> Interval:
    kept = np.array(lots)[rows]
    if not by_lot:
        return mean_interval(values[rows], groups=kept.tolist())
    return mean_interval([values[rows][kept == lot].mean() for lot in sorted(set(kept.tolist()))])


def _area(scores: Sequence[Floats], outside: NDArray[np.bool_], lots: Sequence[str]) -> Interval:
    """Area of the first scores, less that of the second where there are any; whole lots are drawn."""
    of_lot = [np.flatnonzero(np.array(lots) == lot) for lot in sorted(set(lots))]

    def area(drawn: NDArray[np.int64]) -> float:
        rows = np.concatenate([of_lot[lot] for lot in drawn])
        return float(_less([np.array(auroc(score[rows], outside[rows])) for score in scores]))

    return statistic_interval(area, len(of_lot), draws=1000)


def wrong_rows(records: Sequence[Record], truths: Sequence[str], answers: Sequence[Answer]) -> None:
    print("\nrecords that Footring names wrong, one line a kind: maker, truth and its chance, answer and its, mark")
    seen: Counter[tuple[str, str, str]] = Counter()
    for record, of, answer in zip(records, truths, answers, strict=True):
        best = first(answer)
        seen[record.lot, of, best] += 1
        if best != of and seen[record.lot, of, best] == 1:
            chances = f"{of:20}{answer.get(of, 0.0):.3f}  {best:20}{answer[best]:.3f}"
            print(f"{record.maker:24}{chances}  {record.mark[:150]}")


if __name__ == "__main__":
    main()
