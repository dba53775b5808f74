"""Small invented collections: rows in an order in which each refers only to earlier ones."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from hypothesis import strategies as st

from footring.rows import Row
from footring.rows.collection import Attribution, Channel, Encounter, Outing, OutingLine, Piece, Reading
from footring.rows.reference_things import Decoration, Form, Glaze, Line, Maker, Size

LINES = ("q.ormsley", "q.wherry", "q.pennant")
FORMS = {"q.bowl": "q.ormsley", "q.dish": "q.ormsley", "q.cup": "q.wherry", "q.mug": "q.pennant"}
GROUND: list[Row] = [
    Maker("q.tarn", name="Quillow & Tarn Works"),
    *(Line(line, maker="q.tarn", name=line[2:].title()) for line in LINES),
    *(Form(form, line=line, name=form[2:]) for form, line in FORMS.items()),
    Size("q.bowl.5", form="q.bowl", across_mm=127.0),
    *(Glaze(f"q.glaze{i}", name=f"glaze {i}") for i in range(2)),
    *(Decoration(f"q.deco{i}", name=f"decoration {i}") for i in range(2)),
    Channel("q.fair", name="a fair", selected=True),
    Channel("q.bulk", name="a bulk lot", selected=False),
    Channel("q.shelf", name="a shelf", selected=True),
]
WEIGHTS = st.sampled_from([1.0, 0.5, 0.3, 0.0]) | st.floats(0, 1)


@st.composite
def histories(draw: st.DrawFn, most: int = 25) -> list[Row]:
    """`GROUND`, then pieces, outings, encounters, attributions and readings in any order."""
    rows: list[Row] = list(GROUND)
    for i in range(draw(st.integers(0, most))):
        kind = draw(st.sampled_from(["piece", "outing", "line", "encounter", "attribution", "attribution", "reading"]))
        if (made := _made(draw, kind, f"q.{kind}{i}", by_table(rows))) is not None:
            rows.append(made)
    return rows


def by_table(rows: Iterable[Row]) -> dict[str, list[Row]]:
    tables: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        tables[row.TABLE].append(row)
    return dict(tables)


def _one(draw: st.DrawFn, rows: list[Row] | None, maybe: bool = True) -> str | None:
    ids = st.sampled_from([row.id for row in rows or ()]) if rows else st.nothing()
    return draw(st.none() | ids) if maybe else draw(ids)


def _made(draw: st.DrawFn, kind: str, name: str, so_far: dict[str, list[Row]]) -> Row | None:
    get = so_far.get
    if kind == "outing":
        logged = draw(st.sampled_from(["everything", "lines", "caught_eye"]))
        return Outing(name, channel=_one(draw, get("channels")), logged=logged)
    if kind == "line":
        pairs = {(row.outing, row.line) for row in get("outing_lines") or ()}
        free = [(o.id, line) for o in get("outings") or () for line in LINES if (o.id, line) not in pairs]
        return OutingLine(name, outing=(pair := draw(st.sampled_from(free)))[0], line=pair[1]) if free else None
    if kind == "piece" or not get("pieces"):
        return Piece(name)
    piece = _one(draw, get("pieces"), maybe=False)
    if kind == "encounter":
        return Encounter(name, piece=piece, channel=_one(draw, get("channels")), outing=_one(draw, get("outings")))
    if kind == "reading":
        return Reading(name, piece=piece, name="rim", value=draw(st.text(max_size=3).filter(bool)), sure=draw(WEIGHTS))
    form = draw(st.none() | st.sampled_from(list(FORMS)))
    return Attribution(
        name, piece=piece, line=FORMS[form] if form else draw(st.sampled_from(LINES)), form=form,
        size="q.bowl.5" if form == "q.bowl" and draw(st.booleans()) else None,
        glaze=_one(draw, get("glazes")), decoration=_one(draw, get("decorations")),
        weight=draw(WEIGHTS), basis=draw(st.sampled_from(["confirmed", "proposed"])),
        supersedes=_one(draw, get("attributions")) if draw(st.booleans()) else None,
    )  # fmt: skip
