"""What is known of a world: the pieces met, and documents that have come down, as the tables of a pack."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from footring.demo.channels import CHANNELS
from footring.demo.factory import YEARS, Things
from footring.demo.meeting import Pieces
from footring.demo.pack_faults import conditions, corrections
from footring.demo.pack_paper import paper_rows
from footring.demo.ware import World
from footring.marks.readings import read_reading
from footring.rows import TABLES, RowTable
from footring.rows import collection as c
from footring.rows import reference_things as r

Rows = dict[str, list[Any]]
STAMP: dict[str, Any] = {"recorded_at": "2026-03-01", "recorded_by": "demo"}
OUTINGS = 60


def pack_tables(
    world: World, met: Pieces, channel: np.ndarray[Any, Any], rng: np.random.Generator
) -> dict[str, RowTable]:
    """Tables of the pack.

    Parameters
    ----------
    met : Pieces
        The pieces met.
    channel : int array, shape (pieces,)
        Row of `CHANNELS` each was met through.
    """
    rows: Rows = {name: [] for name in TABLES}
    _things(rows, world.things, world)
    for table, found in paper_rows(world).items():
        rows[table] += found
    _meetings(rows, world, met, channel, rng)
    rows["conditions"] += conditions(met, rng)
    rows["corrections"] += corrections(world, met, rows["readings"], rng)
    return {name: RowTable.from_rows(TABLES[name], found) for name, found in rows.items() if found}


def _things(rows: Rows, things: Things, world: World) -> None:
    rows["makers"].append(
        r.Maker("qt.m0", name="Quillow & Tarn Works", town="Ossel Ford", country="England", active="1904/1968", **STAMP)
    )
    rows["lines"] += [r.Line(f"qt.l{i}", maker="qt.m0", name=line.name, **STAMP) for i, line in enumerate(things.lines)]
    moulds = sorted({form.mould for form in things.forms})
    rows["moulds"] += [r.Mould(f"qt.mould{m}", maker="qt.m0", name=f"Mould {m}", **STAMP) for m in moulds]
    for i, form in enumerate(things.forms):
        rows["forms"].append(
            r.Form(f"qt.f{i}", line=f"qt.l{form.line}", name=form.name, kind=form.kind, mould=f"qt.mould{form.mould}",
                   designed=str(form.designed), **STAMP)
        )  # fmt: skip
    for i, size in enumerate(things.sizes):
        rows["sizes"].append(
            r.Size(
                f"qt.s{i}",
                form=f"qt.f{size.form}",
                trade_size=size.trade,
                across_mm=size.across,
                high_mm=size.high,
                **STAMP,
            )
        )
    rows["bodies"] += [r.Body(f"qt.b{i}", maker="qt.m0", name=name, **STAMP) for i, name in enumerate(things.bodies)]
    for i, glaze in enumerate(things.glazes):
        lab = things.lab[i].tolist()
        rows["glazes"].append(
            r.Glaze(f"qt.g{i}", maker="qt.m0", name=glaze["name"], effect=glaze["effect"],
                    lab_lightness=lab[0], lab_a=lab[1], lab_b=lab[2], **STAMP)
        )  # fmt: skip
    for i, of in enumerate(things.decorations):
        rows["decorations"].append(
            r.Decoration(
                f"qt.d{i}", maker="qt.m0", name=of.name, technique=of.technique, designed=str(of.designed), **STAMP
            )
        )
        if of.place:
            rows["placements"].append(r.Placement(f"qt.p{i}", decoration=f"qt.d{i}", place=of.place, **STAMP))
    for i, trim in enumerate(things.trims):
        rows["trims"].append(r.Trim(f"qt.t{i}", maker="qt.m0", name=trim["name"], kind=trim["kind"], **STAMP))
    rows["customers"] += [r.Customer(f"qt.c{i}", name=name, **STAMP) for i, name in enumerate(things.customers)]
    for m, mark in enumerate(world.marks.marks):
        if mark.maker == 0:
            rows["marks"].append(
                r.Mark(f"qt.k{m}", maker="qt.m0", lettering=mark.lettering, technique=mark.technique,
                       colour=mark.colour or None, date_code_scheme=_scheme_id(mark.scheme), **STAMP)
            )  # fmt: skip
    for i, of_label in enumerate(world.labels.own):
        rows["labels"].append(
            r.Label(f"qt.label{i}", maker="qt.m0", name=of_label["name"], lettering=of_label["lettering"],
                    material=of_label["material"], used=f"{of_label['first']}~/{of_label['last']}~", **STAMP)
        )  # fmt: skip
    _schemes(rows, world)


def _scheme_id(name: str) -> str | None:
    return f"qt.scheme-{name.replace(' ', '-')}" if name else None


def _schemes(rows: Rows, world: World) -> None:
    for name, codes in world.marks.codes.items():
        scheme = _scheme_id(name)
        assert scheme is not None
        rows["date_code_schemes"].append(
            r.DateCodeScheme(scheme, name=name.capitalize(), maker="qt.m0", maker_pattern="quillow+tarn",
                             span_from=str(YEARS[0]), span_to=str(YEARS[-1]), dates="decorated", weight=1.0, floor=0.01,
                             scan="apart", status="invented", **STAMP)
        )  # fmt: skip
        if name == "month year":
            rows["date_code_fields"].append(
                r.DateCodeField(f"{scheme}-month", scheme=scheme, position=1, kind="number", name="month",
                                gives="month", min=1, max=12, width="1-2", status="invented", **STAMP)
            )  # fmt: skip
        position = 2 if name == "month year" else 1
        rows["date_code_fields"].append(
            r.DateCodeField(f"{scheme}-year", scheme=scheme, position=position, kind="token", name="year",
                            before="_" if position == 2 else None, status="invented", **STAMP)
        )  # fmt: skip
        for year, code in zip(YEARS.tolist(), codes, strict=True):
            rows["date_code_tokens"].append(
                r.DateCodeToken(f"{scheme}-{year}", scheme=scheme, field="year", token=code, span_from=str(year),
                                span_to=str(year), status="invented", **STAMP)
            )  # fmt: skip


def _meetings(rows: Rows, world: World, met: Pieces, channel: np.ndarray[Any, Any], rng: np.random.Generator) -> None:
    rows["channels"] += _channels()
    for i in range(OUTINGS):
        kind = "fair" if i % 3 else "eye"
        rows["outings"].append(
            c.Outing(f"qt.o{i}", held=f"{2001 + i // 4}-0{1 + i % 9}", channel=f"qt.ch-{kind}",
                     logged="everything" if kind == "fair" else "caught_eye", hours=4.0, **STAMP)
        )  # fmt: skip
    rows["people"] += [c.Person(f"qt.reader{i}", name=f"Reader {i + 1}", **STAMP) for i in range(world.p.readers)]
    whole, eye = ([i for i in range(OUTINGS) if bool(i % 3) == fair] for fair in (True, False))
    for i in range(len(met.cell)):
        piece, name = f"qt.x{i}", CHANNELS[channel[i]][0]
        outing = {"fair": whole, "eye": eye}.get(name)
        rows["pieces"].append(c.Piece(piece, **STAMP))
        rows["encounters"].append(
            c.Encounter(f"qt.e{i}", piece=piece, channel=f"qt.ch-{name}",
                        outing=f"qt.o{outing[i % len(outing)]}" if outing else None, **STAMP)
        )  # fmt: skip
        rows["readings"] += _readings(i, piece, met.readings[i], int(met.reader[i]))
        if met.cell[i] >= 0 and rng.random() < world.p.settled:
            rows["attributions"].append(_attribution(world, met, i, piece))


def _channels() -> Iterator[c.Channel]:
    for name, says, selected in CHANNELS:
        yield c.Channel(f"qt.ch-{name}", name=says, selected=selected, **STAMP)


def _readings(i: int, piece: str, read: dict[str, str], reader: int) -> Iterator[c.Reading]:
    for number, (name, text) in enumerate(read.items()):
        found = read_reading(name, text)
        if found is not None:
            yield c.Reading(f"qt.r{i}-{number}", piece=piece, name=name, value=None if found.absent else found.value,
                            absent=found.absent, sure=found.p if found.p < 1 else None, read_by=f"qt.reader{reader}",
                            **STAMP)  # fmt: skip


def _attribution(world: World, met: Pieces, i: int, piece: str) -> c.Attribution:
    form, treatment = world.cells[met.cell[i]].tolist()
    line, body, glaze, decoration, trim = world.treatments[treatment].tolist()
    marks: dict[str, Any] = {
        f"mark_{side}": f"qt.k{m}"
        for side, m in (("in_clay", int(met.in_clay[i])), ("printed", int(met.printed[i])))
        if m >= 0
    }
    if met.customer[i] >= 0:
        marks["customer"] = f"qt.c{met.customer[i]}"
    return c.Attribution(
        f"qt.a{i}", piece=piece, line=f"qt.l{line}", form=f"qt.f{form}", size=f"qt.s{met.size[i]}", body=f"qt.b{body}",
        glaze=f"qt.g{glaze}", decoration=f"qt.d{decoration}", trim=f"qt.t{trim}", weight=1.0, basis="confirmed",
        **marks, **STAMP,
    )  # fmt: skip
