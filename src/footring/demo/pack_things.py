"""The things of a world as rows: lines, shapes, glazes, decorations, marks, labels and date codes."""

from __future__ import annotations

from typing import Any

from footring.demo.factory import YEARS, Things
from footring.demo.ware import World
from footring.rows import reference_things as r

Rows = dict[str, list[Any]]
STAMP: dict[str, Any] = {"recorded_at": "2026-03-01", "recorded_by": "demo"}


def things_rows(rows: Rows, world: World) -> None:
    """Add everything that the factory had to its tables."""
    things = world.things
    rows["makers"].append(
        r.Maker("qt.m0", name="Quillow & Tarn Works", town="Ossel Ford", country="England", active="1904/1968", **STAMP)
    )
    rows["lines"] += [r.Line(f"qt.l{i}", maker="qt.m0", name=line.name, **STAMP) for i, line in enumerate(things.lines)]
    rows["bodies"] += [r.Body(f"qt.b{i}", maker="qt.m0", name=name, **STAMP) for i, name in enumerate(things.bodies)]
    rows["customers"] += [r.Customer(f"qt.c{i}", name=name, **STAMP) for i, name in enumerate(things.customers)]
    _shapes(rows, things)
    _treatments(rows, things)
    _marks(rows, world)
    _schemes(rows, world)


def _shapes(rows: Rows, things: Things) -> None:
    moulds = sorted({form.mould for form in things.forms})
    rows["moulds"] += [r.Mould(f"qt.mould{m}", maker="qt.m0", name=f"Mould {m}", **STAMP) for m in moulds]
    rows["forms"] += [
        r.Form(f"qt.f{i}", line=f"qt.l{form.line}", name=form.name, kind=form.kind, mould=f"qt.mould{form.mould}",
               designed=str(form.designed), **STAMP)
        for i, form in enumerate(things.forms)
    ]  # fmt: skip
    rows["sizes"] += [
        r.Size(f"qt.s{i}", form=f"qt.f{size.form}", trade_size=size.trade, across_mm=size.across, high_mm=size.high,
               **STAMP)
        for i, size in enumerate(things.sizes)
    ]  # fmt: skip


def _treatments(rows: Rows, things: Things) -> None:
    for i, (glaze, lab) in enumerate(zip(things.glazes, things.lab.tolist(), strict=True)):
        rows["glazes"].append(
            r.Glaze(f"qt.g{i}", maker="qt.m0", name=glaze["name"], effect=glaze["effect"], lab_lightness=lab[0],
                    lab_a=lab[1], lab_b=lab[2], **STAMP)
        )  # fmt: skip
    for i, of in enumerate(things.decorations):
        rows["decorations"].append(
            r.Decoration(f"qt.d{i}", maker="qt.m0", name=of.name, technique=of.technique, designed=str(of.designed),
                         **STAMP)
        )  # fmt: skip
        if of.place:
            rows["placements"].append(r.Placement(f"qt.p{i}", decoration=f"qt.d{i}", place=of.place, **STAMP))
    for i, trim in enumerate(things.trims):
        rows["trims"].append(r.Trim(f"qt.t{i}", maker="qt.m0", name=trim["name"], kind=trim["kind"], **STAMP))


def _marks(rows: Rows, world: World) -> None:
    rows["marks"] += [
        r.Mark(f"qt.k{m}", maker="qt.m0", lettering=mark.lettering, technique=mark.technique,
               colour=mark.colour or None, date_code_scheme=_scheme_id(mark.scheme), **STAMP)
        for m, mark in enumerate(world.marks.marks)
        if mark.maker == 0
    ]  # fmt: skip
    rows["labels"] += [
        r.Label(f"qt.label{i}", maker="qt.m0", name=label["name"], lettering=label["lettering"],
                material=label["material"], used=f"{label['first']}~/{label['last']}~", **STAMP)
        for i, label in enumerate(world.labels.own)
    ]  # fmt: skip


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
