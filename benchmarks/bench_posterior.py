"""Posteriors: small networks beside pgmpy and pyAgrum, then a made pottery of 200 lines and 100,000 variants."""

from __future__ import annotations

import os
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # two threads wait for each other where the processors are busy
import numpy as np

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from made_variants import made_reference  # noqa: E402

from footring.marks.foot import Foot  # noqa: E402
from footring.marks.readings import Reading, read_reading  # noqa: E402
from footring.reasoning.examination import Examination, examine_part  # noqa: E402
from footring.reasoning.explain import explain  # noqa: E402
from footring.reasoning.explain_evidence import explain_evidence  # noqa: E402
from footring.reasoning.leader import leading  # noqa: E402
from footring.reasoning.model import Model, compile_model  # noqa: E402
from footring.reasoning.next_reading import next_readings  # noqa: E402
from footring.reference import compile_reference  # noqa: E402
from footring.reference.weights import sums  # noqa: E402
from tests.reasoning import networks  # noqa: E402
from tests.reasoning.small_worlds import small_world  # noqa: E402

COUNTS = (1, 4, 12)
MOST_SECONDS = 10.0
"""One measurement takes no longer; the runs done by then are what it tells of."""
READ = (
    "line=line 17", "form=form 217", "glaze=glazes 4", "decoration=pattern 130 ~0.8", "mark=OSSEL 17 / WARE 5?",
    "number=1204", "body=bodies 2", "trim=trims 4", "maker=Ossel 17", "made=1927", "mark_kind=impressed",
    "effect=plain",
)  # fmt: skip


def main() -> None:
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f} at the beginning; one thread")
    _small_networks()
    _large()


def _small_networks(worlds: int = 6, runs: int = 30) -> None:
    """Outside, every cell and p(form) here, p(form) only of the libraries; evidence replaced each time."""
    models = [compile_model(compile_reference(small_world(Random(seed)))) for seed in range(worlds)]
    tables = [networks.as_network(model) for model in models]
    dice = np.random.default_rng(1904)
    dates = models[0].rules.piece_dates(Foot())
    libraries = {
        "pgmpy": ([networks.in_pgmpy(small) for small in tables], networks.ask_pgmpy, 3),
        "pyagrum": ([networks.in_pyagrum(small) for small in tables], networks.ask_pyagrum, runs),
    }
    nodes = ", ".join(str(small["treatment"].table.shape[1]) for small in tables)
    print(f"small networks: {worlds} of them, treatments {nodes}; evidence replaced each time, its factors given")
    for count in COUNTS:
        pieces = [(i, networks.random_readings(m, dice, count)) for i, m in enumerate(models) for _ in range(runs)]
        ours = timed([lambda i=i, f=f: _ours(models[i], f, dates) for i, f in pieces])
        _tell(f"  {count:2} readings, footring", ours)
        for name, (nets, ask, most) in libraries.items():
            asked = [(i, networks.as_likelihoods(f)) for i, f in pieces[:: runs // most]]
            theirs = timed([lambda i=i, e=e, n=nets, a=ask: a(n[i], e, "form") for i, e in asked])
            ratio = np.median(theirs) / np.median(ours)
            _tell(f"  {count:2} readings, {name}", theirs, f"; {ratio:.1f} times footring's")


def _ours(model: Model, factors: list[Any], dates: Any) -> None:
    found = networks.weighed_up(model, factors, dates)
    _ = found.outside, sums(model.cells.form, found.cells, len(model.form_line)) + found.unrecorded_forms


def _large() -> None:
    start = time.perf_counter()
    reference = made_reference()
    made = time.perf_counter()
    model = compile_model(reference)
    took = time.perf_counter() - made
    print(
        f"large: {len(model.line_maker)} lines, {len(model.known.cell_form):,} recorded cells, "
        f"{len(model.known.treatments):,} treatments; reference {made - start:.1f} s, model {took:.1f} s"
    )
    start = time.perf_counter()
    compile_model(reference)
    print(f"  model again: {time.perf_counter() - start:.1f} s")
    for count in COUNTS:
        readings = [one for text in READ[:count] if (one := read_reading(*text.split("=", 1))) is not None]
        start = time.perf_counter()
        _posterior(model, readings)
        first = 1e3 * (time.perf_counter() - start)
        told = f"; the first time {first:.0f} ms (tables of names and letterings are made)"
        _tell(f"  {count:2} readings, posterior", timed([lambda r=readings: _posterior(model, r)] * 40), told)
        both = timed([lambda r=readings: _evidence(model, r)] * 40)
        _tell(f"  {count:2} readings, posterior and evidence", both, "; to reach: p95 50 ms")
        more = [_next(model, readings) for _ in range(10)]
        _tell(f"  {count:2} readings, next, more", more, "; to reach: p95 150 ms")
        whole = timed([lambda r=readings: explain(_posterior(model, r))] * 10)
        _tell(f"  {count:2} readings, all of it", whole)
    print(f"  peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB; to reach: 1,024 MB")


def _posterior(model: Model, readings: list[Reading]) -> Examination:
    """Outside, every recorded cell, unrecorded forms and all marginals."""
    found = examine_part(model, readings)
    _ = found.outside, found.cells, found.marginals
    return found


def _evidence(model: Model, readings: list[Reading]) -> None:
    found = _posterior(model, readings)
    explain_evidence(found, leading(found))


def _next(model: Model, readings: list[Reading]) -> float:
    found = _posterior(model, readings)
    return timed([lambda: next_readings(found)])[0]


def timed(runs: list[Callable[[], object]]) -> list[float]:
    took = []
    for run in runs:
        start = time.perf_counter()
        run()
        took.append(time.perf_counter() - start)
        if sum(took) > MOST_SECONDS:
            break
    return took


def _tell(what: str, took: list[float], more: str = "") -> None:
    median, p95 = (1e3 * float(np.quantile(took, q)) for q in (0.5, 0.95))
    print(f"{what}: median {median:,.2f} ms, p95 {p95:,.2f} ms of {len(took)} runs{more}", flush=True)


if __name__ == "__main__":
    main()
