"""Small invented potteries for property tests."""

from __future__ import annotations

from hypothesis import strategies as st

from footring.rows.collection import Attribution, Channel, Encounter, Outing, OutingLine, Piece
from footring.rows.reference_things import Form, Glaze, Line, Maker

LINES, FORMS, GLAZES, CHANNELS = 2, 3, 2, 3
FIXED = {
    "makers": [Maker("m.0", name="Quillow & Tarn Works")],
    "lines": [Line(f"l.{k}", maker="m.0", name=f"line {k}") for k in range(LINES)],
    "forms": [Form(f"f.{k}", line=f"l.{k % LINES}", name=f"form {k}") for k in range(FORMS)],
    "glazes": [Glaze(f"g.{k}", name=f"glaze {k}") for k in range(GLAZES)],
    "channels": [Channel(f"c.{k}", name=f"channel {k}", selected=k > 0) for k in range(CHANNELS)],
}


def one_of(prefix, count):
    return st.none() | st.sampled_from([f"{prefix}.{k}" for k in range(count)])


@st.composite
def worlds(draw):
    """Tables of a collection: pieces met at outings that logged everything, some lines, or what caught the eye."""
    outings = [
        Outing(
            f"o.{k}",
            channel=draw(one_of("c", CHANNELS)),
            logged=draw(st.sampled_from(["everything", "lines", "caught_eye"])),
        )
        for k in range(draw(st.integers(0, 4)))
    ]
    pairs = draw(st.sets(st.tuples(st.integers(0, 3), st.integers(0, LINES - 1)), max_size=4))
    named = [OutingLine(f"ol.{o}.{n}", outing=f"o.{o}", line=f"l.{n}") for o, n in sorted(pairs) if o < len(outings)]
    pieces = [Piece(f"p.{k}") for k in range(draw(st.integers(1, 6)))]
    some_piece = st.sampled_from([piece.id for piece in pieces])
    encounters = [
        Encounter(
            f"e.{k}",
            piece=draw(some_piece),
            channel=draw(one_of("c", CHANNELS)),
            outing=draw(one_of("o", len(outings))) if outings else None,
        )
        for k in range(draw(st.integers(0, 10)))
    ]
    attributions: list[Attribution] = []
    for k in range(draw(st.integers(0, 10))):
        form = draw(one_of("f", FORMS))
        line = FIXED["forms"][int(form[2:])].line if form else draw(st.sampled_from(["l.0", "l.1"]))
        older = draw(st.none() | st.sampled_from(attributions)) if attributions else None
        free = older and all(a.supersedes != older.id for a in attributions)
        attributions.append(
            Attribution(
                f"a.{k}",
                piece=older.piece if free else draw(some_piece),
                line=line,
                form=form,
                glaze=draw(one_of("g", GLAZES)),
                weight=draw(st.sampled_from([1.0, 0.5, 0.25])),
                basis=draw(st.sampled_from(["confirmed", "proposed"])),
                supersedes=older.id if free else None,
            )
        )
    return {
        **FIXED,
        "outings": outings,
        "outing_lines": named,
        "pieces": pieces,
        "encounters": encounters,
        "attributions": attributions,
    }
