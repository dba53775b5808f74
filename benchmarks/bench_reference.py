"""Compile and extend a large made-up reference: 1,000,000 encounters, 800,000 pieces, 100,000 recorded cells."""

from __future__ import annotations

import argparse
import resource
import statistics
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from footring.reference import compile_reference, extend
from footring.rows import TABLES, RowTable, coded
from footring.rows.collection import Attribution, Encounter, Piece

LINES, FORMS, OUTINGS, RUNS = 200, 2_400, 2_000, 7


def synthetic_tables(encounters: int, cells: int, seed: int = 1904) -> dict[str, RowTable]:
    """Tables of an invented pottery; every cell has at least one confirmed piece."""
    rng = np.random.default_rng(seed)
    pieces = encounters * 4 // 5
    tables = {
        "makers": _table("makers", 1, name=_words("m", 1)),
        "lines": _table("lines", LINES, maker=_ids("makers", np.zeros(LINES, int), 1), name=_words("line", LINES)),
        "forms": _table("forms", FORMS, line=_ids("lines", np.arange(FORMS) % LINES, LINES), name=_words("f", FORMS)),
    }
    for name, count in (("bodies", 5), ("glazes", 60), ("decorations", 500), ("trims", 10), ("places", 300)):
        tables[name] = _table(name, count, name=_words(name, count))
    tables["channels"] = _table("channels", 4, name=_words("c", 4), selected=[True, True, False, True])
    logged = np.array(["everything", "lines", "caught_eye"], object)
    tables["outings"] = _table(
        "outings", OUTINGS, held=_days(rng, OUTINGS), channel=_ids("channels", rng.integers(0, 4, OUTINGS), 4),
        logged=logged[rng.integers(0, 3, OUTINGS)],
    )  # fmt: skip
    tables["outing_lines"] = _table(
        "outing_lines", OUTINGS, outing=_ids("outings", np.arange(OUTINGS), OUTINGS),
        line=_ids("lines", rng.integers(0, LINES, OUTINGS), LINES),
    )  # fmt: skip
    tables["pieces"] = _table("pieces", pieces)
    met = np.concatenate([np.arange(pieces), rng.integers(0, pieces, encounters - pieces)])
    tables["encounters"] = _table(
        "encounters", encounters, piece=_ids("pieces", met, pieces), met=_days(rng, encounters),
        outing=_ids("outings", rng.integers(-1, OUTINGS, encounters), OUTINGS),
        channel=_ids("channels", rng.integers(-1, 4, encounters), 4),
    )  # fmt: skip
    tables["attributions"] = _attributions(rng, pieces, cells)
    return tables


def _attributions(rng: np.random.Generator, pieces: int, cells: int) -> RowTable:
    sizes = {"form": FORMS, "body": 5, "glaze": 60, "decoration": 500, "trim": 10}
    flat = rng.choice(np.prod(list(sizes.values())), cells, replace=False)
    columns = dict(zip(sizes, np.unravel_index(flat, tuple(sizes.values())), strict=True))
    cell = np.concatenate([np.arange(cells), (cells * rng.power(0.5, pieces - cells)).astype(int)])
    confirmed = (np.arange(pieces) < cells) | (rng.random(pieces) < 0.7)
    spec = TABLES["attributions"]
    links = {name: _ids(str(spec.column(name).refers_to), columns[name][cell], n) for name, n in sizes.items()}
    links["line"] = _ids("lines", columns["form"][cell] % LINES, LINES)
    links["piece"] = _ids("pieces", np.arange(pieces), pieces)
    basis = coded((~confirmed).astype(int), ["confirmed", "proposed"])
    weight = np.where(confirmed, 1.0, rng.random(pieces).round(2))
    return _table("attributions", pieces, basis=basis, weight=weight, **links)


def _table(table: str, rows: int, /, **columns: Any) -> RowTable:
    return RowTable.from_columns(TABLES[table], {"id": _ids(table, np.arange(rows), rows), **columns})


def _ids(table: str, rows: np.ndarray, size: int) -> Any:
    return coded(rows, _words(f"ossel.{table}.", size))


def _words(stem: str, count: int) -> list[str]:
    return [f"{stem}{i}" for i in range(count)]


def _days(rng: np.random.Generator, count: int) -> Any:
    days = np.datetime_as_string(np.datetime64("1980-01-01") + np.arange(15_000)).tolist()
    return coded(rng.integers(0, len(days), count), days)


def timed(run: Callable[[], object], runs: int) -> list[float]:
    took = []
    for _ in range(runs):
        start = time.perf_counter()
        run()
        took.append(time.perf_counter() - start)
    return took


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--encounters", type=int, default=1_000_000)
    ask.add_argument("--cells", type=int, default=100_000)
    given = ask.parse_args()
    tables = synthetic_tables(given.encounters, given.cells)
    before = peak_mb()
    reference = compile_reference(tables)
    print(
        f"{given.encounters:,} encounters, {reference.counts.recorded.sum():,} recorded cells; "
        f"peak memory {peak_mb():.0f} MB, of which the tables {before:.0f} MB"
    )
    some = reference.row("attributions", 5)
    one = {
        "encounter": {"encounters": [Encounter("new.e", piece="ossel.pieces.7", outing="ossel.outings.3")]},
        "attribution": {"attributions": [Attribution("new.a", piece="ossel.pieces.7", line=some.line, form=some.form,
                                                     weight=1.0, basis="confirmed")]},
        "piece": {"pieces": [Piece("new.p")]},
        "superseding": {"attributions": [Attribution("new.a", piece=some.piece, line=some.line, weight=1.0,
                                                     basis="confirmed", supersedes=some.id)]},
    }  # fmt: skip
    _tell("compile", timed(lambda: compile_reference(tables), RUNS))
    for what, added in one.items():
        _tell(f"extend by one {what}", timed(lambda added=added: extend(reference, added), RUNS))
    _tell("counts_without a piece", timed(lambda: reference.counts_without("ossel.pieces.7"), RUNS))


def _tell(what: str, took: list[float]) -> None:
    least, middle, most = (1e3 * value for value in (min(took), statistics.median(took), max(took)))
    print(f"{what}: min {least:,.0f}, median {middle:,.0f}, max {most:,.0f} ms of {len(took)} runs")


if __name__ == "__main__":
    main()
