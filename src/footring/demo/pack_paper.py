"""Documents that have come down: lists, advertisements, books and talks, some wrong, some copied from one another."""

from __future__ import annotations

from typing import Any

import numpy as np

from footring.demo.ware import World
from footring.demo.words import stream
from footring.rows import reference_things as r
from footring.rows import statements as s

STAMP: dict[str, Any] = {"recorded_at": "2026-03-01", "recorded_by": "demo"}
SOURCES = (
    ("ledger", "Works ledger", "ledger", 0.99), ("list-1912", "Price list of 1912", "price list", 0.98),
    ("list-1934", "Price list of 1934", "price list", 0.98), ("list-1952", "Price list of 1952", "price list", 0.98),
    ("advert", "Trade advertisement", "advertisement", 0.95), ("catalogue", "Sale catalogue", "catalogue", 0.93),
    ("book-a", "The ware of Ossel Ford", "book", 0.92), ("book-b", "Marks of the Ossel valley", "book", 0.85),
    ("article", "Notes on Ormsley", "article", 0.9), ("talk", "Talk at the works", "talk", 0.75),
    ("interview", "A decorator remembers", "interview", 0.7), ("letter", "Letter of a collector", "letter", 0.7),
)  # fmt: skip
COPIES = {"book-b": "book-a", "talk": "book-a"}


def paper_rows(world: World) -> dict[str, list[Any]]:
    """Rows of sources, lineages, numbers, mark uses, productions, telltales, sets, names and claims."""
    rng = stream(world.p.seed, "documents")
    found: dict[str, list[Any]] = {
        "sources": [r.Source(f"qt.src-{i}", name=name, kind=kind, **STAMP) for i, name, kind, _ in SOURCES],
        "lineages": [
            r.Lineage(f"qt.lin-{of}", source=f"qt.src-{of}", drawn_from=f"qt.src-{by}", **STAMP)
            for of, by in COPIES.items()
        ],
        "mark_uses": _mark_uses(world, rng),
        "productions": _productions(world, rng),
        "telltales": _telltales(world),
        "goes_with": _sets(world),
        "names": _names(world),
    }
    found["numbers"], found["claims"] = _numbers(world, rng)
    return found


def _source(rng: np.random.Generator) -> tuple[str, float]:
    i = int(rng.integers(0, len(SOURCES)))
    return f"qt.src-{SOURCES[i][0]}", SOURCES[i][3]


def _mark_uses(world: World, rng: np.random.Generator) -> list[s.MarkUse]:
    found = []
    for m, mark in enumerate(world.marks.marks):
        if mark.maker == 0:
            first, last = mark.first + int(rng.integers(-1, 2)), mark.last + int(rng.integers(-1, 2))
            source, _ = _source(rng)
            used = f"{first}~/{max(first, last)}~"
            found.append(
                s.MarkUse(f"qt.u{m}", mark=f"qt.k{m}", line=f"qt.l{mark.line}", used=used, source=source, **STAMP)
            )
    return found


def _productions(world: World, rng: np.random.Generator) -> list[s.Production]:
    found = []
    for i, line in enumerate(world.things.lines):
        found.append(
            s.Production(f"qt.pl{i}", line=f"qt.l{i}", made=f"{line.start}/{line.end}", source="qt.src-ledger", **STAMP)
        )
    for i, form in enumerate(world.things.forms):
        if rng.random() < world.p.documented:
            found.append(_production(rng, f"qt.pf{i}", form.line, (form.designed, form.end), form=f"qt.f{i}"))
    for t, row in enumerate(world.treatments.tolist()):
        if rng.random() < world.p.documented:
            line, _, glaze, decoration, _ = row
            parts = {"glaze": f"qt.g{glaze}", "decoration": f"qt.d{decoration}"}
            found.append(_production(rng, f"qt.pt{t}", line, tuple(world.spans[t].tolist()), **parts))
    listed = np.flatnonzero(world.offered)
    for cell in listed[rng.random(len(listed)) < 0.25 * world.p.documented]:
        form, treatment = world.cells[cell].tolist()
        line, body, glaze, decoration, trim = world.treatments[treatment].tolist()
        years = np.flatnonzero(world.when[cell] > 0) + 1904
        parts = {"form": f"qt.f{form}", "body": f"qt.b{body}", "glaze": f"qt.g{glaze}",
                 "decoration": f"qt.d{decoration}", "trim": f"qt.t{trim}"}  # fmt: skip
        found.append(_production(rng, f"qt.pc{cell}", line, (int(years[0]), int(years[-1])), **parts))
    for i, (cell, year, customer) in enumerate(world.batches):
        if customer >= 0 and rng.random() < world.p.documented:
            form, treatment = world.cells[cell].tolist()
            line, _, glaze, decoration, _ = world.treatments[treatment].tolist()
            parts = {"form": f"qt.f{form}", "glaze": f"qt.g{glaze}", "decoration": f"qt.d{decoration}",
                     "customer": f"qt.c{customer}"}  # fmt: skip
            found.append(_production(rng, f"qt.po{i}", line, (year, year), **parts))
    return found


def _production(rng: np.random.Generator, name: str, line: int, years: tuple[int, ...], **parts: Any) -> s.Production:
    source, right = _source(rng)
    first, last = years
    if rng.random() > right:
        first, last = first + int(rng.integers(-9, 10)), last + int(rng.integers(-9, 10))
    made = f"{first}{'~' if rng.random() < 0.4 else ''}/{max(first, last)}{'~' if rng.random() < 0.4 else ''}"
    return s.Production(name, line=f"qt.l{line}", made=made, source=source, **parts, **STAMP)


def _numbers(world: World, rng: np.random.Generator) -> tuple[list[s.Number], list[s.Claim]]:
    numbers, claims = [], []
    for i, (line, code, glaze, decoration) in enumerate(world.codes):
        if rng.random() > 0.47 + world.p.documented:
            continue
        source, _ = _source(rng)
        row = s.Number(f"qt.n{i}", line=f"qt.l{line}", code=code, glaze=f"qt.g{glaze}", decoration=f"qt.d{decoration}",
                       source=source, **STAMP)  # fmt: skip
        numbers.append(row)
        for k in range(int(rng.integers(0, 4))):
            by, right = SOURCES[int(rng.integers(0, len(SOURCES)))][0::3]
            wrong = rng.random() > float(right)
            said = int(rng.integers(0, len(world.things.decorations))) if wrong else decoration
            memory = by in ("talk", "interview", "letter")
            claims.append(
                s.Claim(f"qt.cl{i}-{k}", subject_table="numbers", subject=f"qt.n{i}", property="decoration",
                        value=f"qt.d{said}", source=f"qt.src-{by}", stance="for",
                        firmness="said_from_memory" if memory else "printed", **STAMP)
            )  # fmt: skip
    missing = np.flatnonzero(~world.offered)
    for k, cell in enumerate(missing[: min(40, len(missing))].tolist()):
        form = world.cells[cell, 0]
        claims.append(
            s.Claim(f"qt.nm{k}", subject_table="forms", subject=f"qt.f{form}", property="decoration",
                    value=f"qt.d{world.treatments[world.cells[cell, 1], 3]}", source="qt.src-letter", stance="not_met",
                    firmness="seen", hours=6.0, handled=120, searched="fairs of the Ossel valley", **STAMP)
        )  # fmt: skip
    return numbers, claims


def _telltales(world: World) -> list[s.Telltale]:
    forms = world.things.forms
    return [
        s.Telltale(f"qt.tt{i}", form=f"qt.f{form.twin}", other_form=f"qt.f{i}", look_at=form.look_at,
                   seen=forms[form.twin].seen, seen_on_other=form.seen, source="qt.src-book-a", **STAMP)
        for i, form in enumerate(forms)
        if form.twin >= 0 and form.base < 0
    ]  # fmt: skip


def _sets(world: World) -> list[s.GoesWith]:
    """Lids with their bases, in the same glaze for every one of the line, and those in one of their own."""
    return [
        s.GoesWith(f"qt.gw{lid}-{glaze}-{base}", kind="lid", form=f"qt.f{lid}", glaze=f"qt.g{glaze}",
                   with_form=f"qt.f{form.base}", with_glaze=f"qt.g{base}",
                   source="qt.src-list-1934" if glaze == base else "qt.src-ledger", **STAMP)
        for lid, form in enumerate(world.things.forms)
        if form.base >= 0
        for glaze, base in _glazes_together(world, lid)
    ]  # fmt: skip


def _glazes_together(world: World, lid: int) -> list[tuple[int, int]]:
    of_line = world.treatments[world.treatments[:, 0] == world.things.forms[lid].line]
    return [*((g, g) for g in np.unique(of_line[:, 2]).tolist()), *([world.pairs[lid]] if lid in world.pairs else [])]


def _names(world: World) -> list[r.Name]:
    return [
        r.Name(f"qt.nm-d{i}", thing_table="decorations", thing=f"qt.d{i}", name=f"The {of.name.split()[0].lower()} one",
               kind="collectors", source="qt.src-letter", **STAMP)
        for i, of in list(enumerate(world.things.decorations))[1:20]
    ]  # fmt: skip
