"""Small random references of an invented pottery, and things read off its pieces."""

from __future__ import annotations

from random import Random

from footring.marks.readings import Reading, read_reading
from footring.rows import collection as met
from footring.rows import reference_things as things
from footring.rows import statements as said

WORDS = {
    "lines": ("Ormsley", "Wherry", "Pennant"),
    "forms": ("plate", "cream jug", "covered dish", "egg cup", "teapot", "bowl", "mug", "salt box"),
    "bodies": ("earthenware", "bone china"),
    "glazes": ("celadon", "oatmeal", "tin white"),
    "decorations": ("Sedge", "Tern", "Plain", "Hurdle"),
    "trims": ("untrimmed", "green edge", "gilt band"),
    "marks": ("ORMSLEY / OSSEL FORD", "Q & T", "WHERRY WARE"),
    "customers": ("Fennick & Co",),
}
YEARS = ("1927/1935", "1927~", "1936/..", "../1931", "[1925..1940]", "1946?")
PARTS = {"body": "bodies", "glaze": "glazes", "decoration": "decorations", "trim": "trims"}


def small_world(dice: Random) -> dict[str, list[object]]:
    """Rows by table: two or three lines, a few forms each, all else few."""
    lines = [things.Line(f"l{i}", maker="qt" if dice.random() < 0.8 else "xy", name=name)
             for i, name in enumerate(WORDS["lines"][: dice.randint(2, 3)])]  # fmt: skip
    names = dice.sample(WORDS["forms"], 8)
    forms = [
        things.Form(f"f{line.id}{i}", line=line.id, name=names.pop(), designed=_maybe(dice, 0.3, YEARS))
        for line in lines
        for i in range(dice.randint(1, 3) if len(lines) == 2 else dice.randint(1, 2))
    ]
    tables: dict[str, list[object]] = {
        "makers": [things.Maker("qt", name="Quillow & Tarn", active="1904/1968"), things.Maker("xy", name="Ebbing")],
        "lines": list(lines),
        "forms": list(forms),
        "sizes": [
            things.Size(f"s{f.id}{i}", form=f.id, across_mm=100.0 + 40 * i)
            for f in forms
            for i in range(dice.randint(0, 2))
        ],
        "customers": [things.Customer("c0", name="Fennick & Co")],
        "marks": [
            things.Mark(f"m{i}", maker=dice.choice(["qt", "qt", "xy"]), lettering=text, technique=technique)
            for i, (text, technique) in enumerate(zip(WORDS["marks"], ("impressed", "printed", "printed"), strict=True))
        ],
        "channels": [
            met.Channel("open", name="whole tables", selected=False),
            met.Channel("eye", name="eye", selected=True),
        ],
    }
    for name, row in (("bodies", things.Body), ("glazes", things.Glaze), ("trims", things.Trim)):
        known = WORDS[name][: dice.randint(1, len(WORDS[name]))]
        tables[name] = [row(f"{name[0]}{i}", name=word) for i, word in enumerate(known)]
    tables["decorations"] = [
        things.Decoration(f"d{i}", name=word, designed=_maybe(dice, 0.3, YEARS))
        for i, word in enumerate(WORDS["decorations"][: dice.randint(2, 4)])
    ]
    return tables | _pieces(dice, tables) | _papers(dice, tables)


def _pieces(dice: Random, tables: dict[str, list[object]]) -> dict[str, list[object]]:
    pieces, encounters, attributions = [], [], []
    cells = [{"form": f.id, "line": f.line} | _parts(dice, tables, 0.85) for f in tables["forms"] * 2]  # type: ignore[attr-defined]
    for i in range(dice.randint(0, 10)):
        cell = dict(dice.choice(cells))
        sizes = [s.id for s in tables["sizes"] if s.form == cell["form"]]  # type: ignore[attr-defined]
        if dice.random() < 0.15:
            cell["form"] = None  # type: ignore[assignment]
        elif sizes and dice.random() < 0.6:
            cell["size"] = dice.choice(sizes)
        mark = dice.choice([None, *(m.id for m in tables["marks"] if m.technique == "printed")])  # type: ignore[attr-defined]
        pieces.append(met.Piece(f"p{i}"))
        encounters.append(met.Encounter(f"e{i}", piece=f"p{i}", channel=dice.choice(["open", "open", "eye"])))
        confirmed = dice.random() < 0.8
        attributions.append(
            met.Attribution(f"a{i}", piece=f"p{i}", basis="confirmed" if confirmed else "proposed",
                            weight=1.0 if confirmed else dice.choice([0.25, 0.5]), mark_printed=mark, **cell)
        )  # fmt: skip
    return {"pieces": pieces, "encounters": encounters, "attributions": attributions}


def _papers(dice: Random, tables: dict[str, list[object]]) -> dict[str, list[object]]:
    lines, forms = tables["lines"], tables["forms"]
    productions, numbers, uses = [], [], []
    for i in range(dice.randint(0, 5)):
        form = dice.choice(forms)
        named = {"form": form.id if dice.random() < 0.6 else None} | _parts(dice, tables, 0.4)  # type: ignore[attr-defined]
        made = _maybe(dice, 0.8, YEARS)
        productions.append(said.Production(f"w{i}", line=form.line, made=made, **named))  # type: ignore[attr-defined, arg-type]
    for i in range(dice.randint(0, 5)):
        named = _parts(dice, tables, 0.5)
        line = dice.choice(lines).id  # type: ignore[attr-defined]
        numbers.append(said.Number(f"n{i}", line=line, code=f"{100 + 7 * i}", **named))  # type: ignore[arg-type]
    for i, mark in enumerate(tables["marks"]):
        used, line = _maybe(dice, 0.7, YEARS), _maybe(dice, 0.5, [one.id for one in lines])  # type: ignore[attr-defined]
        uses.append(said.MarkUse(f"u{i}", mark=mark.id, line=line, used=used))  # type: ignore[attr-defined]
    return {"productions": productions, "numbers": numbers, "mark_uses": uses}


def _parts(dice: Random, tables: dict[str, list[object]], said_share: float) -> dict[str, str | None]:
    return {part: _maybe(dice, said_share, [row.id for row in tables[table]]) for part, table in PARTS.items()}  # type: ignore[attr-defined]


def _maybe(dice: Random, share: float, of: object) -> str | None:
    return dice.choice(list(of)) if dice.random() < share else None  # type: ignore[call-overload, no-any-return]


def some_readings(dice: Random, tables: dict[str, list[object]]) -> list[Reading]:
    """Any readings at all, one or more of them doubtful, absent or in nobody's list."""
    could = {name: [row.name for row in tables[table]] for name, table in PARTS.items()}  # type: ignore[attr-defined]
    could |= {"line": [row.name for row in tables["lines"]], "form": [row.name for row in tables["forms"]]}  # type: ignore[attr-defined]
    could |= {"number": ["100", "107", "1O7", "999", "none"], "across": ["141 mm", "5 in"], "made": ["1930"],
              "mark": [*WORDS["marks"], "Q ? T", "none", "MADE IN ENGLAND"], "customer": ["Fennick & Co"],
              "maker": ["Ebbing", "Quillow & Tarn"], "trim": [*could["trim"], "lustre rim"],
              "numeral": ["107"]}  # fmt: skip
    chosen = dice.sample(sorted(could), dice.randint(0, 6))
    found = [read_reading(n, dice.choice(could[n]) + dice.choice(["", "", " ~0.7"])) for n in chosen]
    return [reading for reading in found if reading is not None]
