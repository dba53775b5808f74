"""A large made-up pottery: 200 lines and 100,000 recorded variants, with marks, numbers and documents."""

from __future__ import annotations

from typing import Any

import numpy as np

from footring.reference import Reference, compile_reference
from footring.rows import TABLES, RowTable, coded

SIZES = {"lines": 200, "forms": 2_400, "bodies": 5, "glazes": 60, "decorations": 500, "trims": 10, "marks": 400}
MAKERS = 20


def made_reference(variants: int = 100_000, pieces: int = 130_000, seed: int = 1904) -> Reference:
    """Every variant has at least one confirmed piece; each line has its own glazes, decorations, numbers and marks."""
    rng = np.random.default_rng(seed)
    n = SIZES
    tables = {
        "makers": _table("makers", MAKERS, name=_words("Ossel", MAKERS), active=_spans(rng, MAKERS, 1890, 40)),
        "lines": _table("lines", n["lines"], name=_words("line", n["lines"]),
                        maker=_ids("makers", np.arange(n["lines"]) % MAKERS, MAKERS)),
        "forms": _table("forms", n["forms"], name=_words("form", n["forms"]), designed=_spans(rng, n["forms"], 1895, 3),
                        line=_ids("lines", np.arange(n["forms"]) % n["lines"], n["lines"])),
        "decorations": _table("decorations", n["decorations"], name=_words("pattern", n["decorations"])),
        "marks": _table("marks", n["marks"], maker=_ids("makers", np.arange(n["marks"]) % MAKERS, MAKERS),
                        lettering=[f"OSSEL {i % MAKERS} / WARE {i}" for i in range(n["marks"])],
                        technique=coded(np.arange(n["marks"]) % 2, ["impressed", "printed"])),
    }  # fmt: skip
    for name in ("bodies", "glazes", "trims"):
        tables[name] = _table(name, n[name], name=_words(name, n[name]))
    cells = _cells(rng, variants)
    tables |= _pieces(rng, cells, pieces) | _papers(rng, cells)
    return compile_reference(tables)


def _cells(rng: np.random.Generator, variants: int) -> dict[str, np.ndarray]:
    """A line's treatments, each on several of its forms."""
    n = SIZES
    treatments = variants // 4
    line = rng.integers(0, n["lines"], treatments)
    near = {"bodies": 2, "glazes": 8, "decorations": 40, "trims": 4}
    parts = {t: (line * 7 + (k * rng.power(0.6, treatments)).astype(int)) % n[t] for t, k in near.items()}
    form = rng.permuted(np.tile(np.arange(12), (treatments, 1)), axis=1)[:, :5] * n["lines"] + line[:, None]
    return {"forms": form.ravel(), "lines": np.repeat(line, 5)} | {t: np.repeat(of, 5) for t, of in parts.items()}


_NAMED = {"line": "lines", "form": "forms", "body": "bodies", "glaze": "glazes", "decoration": "decorations",
          "trim": "trims"}  # fmt: skip


def _pieces(rng: np.random.Generator, cells: dict[str, np.ndarray], pieces: int) -> dict[str, RowTable]:
    count = len(cells["forms"])
    at = np.concatenate([np.arange(count), (count * rng.power(0.4, pieces)).astype(int)])[: max(pieces, count)]
    rows = len(at)
    links = {name: _ids(table, cells[table][at], SIZES[table]) for name, table in _NAMED.items()}
    mark = np.where(rng.random(rows) < 0.3, -1, cells["lines"][at] % MAKERS + MAKERS * 2 * rng.integers(0, 10, rows))
    return {
        "channels": _table("channels", 1, name=["whole tables"], selected=[False]),
        "pieces": _table("pieces", rows),
        "encounters": _table("encounters", rows, piece=_ids("pieces", np.arange(rows), rows),
                             channel=_ids("channels", np.zeros(rows, int), 1)),
        "attributions": _table("attributions", rows, piece=_ids("pieces", np.arange(rows), rows), weight=np.ones(rows),
                               basis=coded(np.zeros(rows, int), ["confirmed"]),
                               mark_in_clay=_ids("marks", np.minimum(mark, SIZES["marks"] - 1), SIZES["marks"]),
                               **links),
    }  # fmt: skip


def _papers(rng: np.random.Generator, cells: dict[str, np.ndarray]) -> dict[str, RowTable]:
    n, count = SIZES, len(cells["forms"])
    some = rng.choice(count, 2_000, replace=False)
    made = {name: _ids(t, cells[t][some], n[t]) for name, t in _NAMED.items() if name in ("line", "form", "decoration")}
    pairs = np.unique(np.stack([cells["lines"], cells["decorations"]], axis=1), axis=0)
    codes = [f"{1000 + i}" for i in range(len(pairs))]
    return {
        "productions": _table("productions", len(some), made=_spans(rng, len(some), 1905, 12), **made),
        "numbers": _table("numbers", len(pairs), code=codes, line=_ids("lines", pairs[:, 0], n["lines"]),
                          decoration=_ids("decorations", pairs[:, 1], n["decorations"])),
        "mark_uses": _table("mark_uses", n["marks"], mark=_ids("marks", np.arange(n["marks"]), n["marks"]),
                            used=_spans(rng, n["marks"], 1900, 15)),
    }  # fmt: skip


def _spans(rng: np.random.Generator, rows: int, first: int, length: int) -> list[str]:
    begin = first + rng.integers(0, 50, rows)
    return [f"{year}/{year + length}" for year in begin.tolist()]


def _table(table: str, rows: int, /, **columns: Any) -> RowTable:
    return RowTable.from_columns(TABLES[table], {"id": _ids(table, np.arange(rows), rows), **columns})


def _ids(table: str, rows: np.ndarray, size: int) -> Any:
    return coded(rows, _words(f"ossel.{table}.", size))


def _words(stem: str, count: int) -> list[str]:
    return [f"{stem} {i}" if not stem.endswith(".") else f"{stem}{i}" for i in range(count)]
