"""What an invented factory had to make ware of: lines, shapes, glazes, decorations, trims, marks and numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.demo.parameters import Parameters
from footring.demo.words import stream, words

YEARS = np.arange(1904, 1969)
Floats = NDArray[np.float64]
NEW_MOULD = 0.02
"""Standard deviation of the logarithm of a new mould's size against the old one's."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line, its years, its habit of numbering, and what it is made of."""

    name: str
    start: int
    end: int
    habit: str
    share: float
    bodies: tuple[int, ...]
    kinds: tuple[str, ...]
    technique: str


@dataclass(frozen=True, slots=True)
class Form:
    """A shape. `twin` is the form it differs from in one feature, `base` the form it is the lid of; -1 is none.

    From the year `replaced` on (0: never) it came from a new mould, all its measures `change` times those of the old.
    """

    line: int
    name: str
    kind: str
    designed: int
    end: int
    weight: float
    mould: int
    twin: int = -1
    look_at: str = ""
    seen: str = ""
    base: int = -1
    replaced: int = 0
    change: float = 1.0


@dataclass(frozen=True, slots=True)
class Size:
    """A size of a form, in millimetres, from its first mould."""

    form: int
    trade: str
    across: float
    high: float


@dataclass(frozen=True, slots=True)
class Decoration:
    """A decoration; the first is none at all."""

    name: str
    technique: str
    place: str
    designed: int


@dataclass(frozen=True, slots=True)
class Things:
    """All of it."""

    lines: tuple[Line, ...]
    forms: tuple[Form, ...]
    sizes: tuple[Size, ...]
    bodies: tuple[str, ...]
    glazes: tuple[dict[str, str], ...]
    lab: Floats
    decorations: tuple[Decoration, ...]
    trims: tuple[dict[str, str], ...]
    customers: tuple[str, ...]


def draw_things(p: Parameters) -> Things:
    """Draw what a world's factory is like; the same parameters give the same factory."""
    bodies = tuple(row["name"] for row in words("bodies"))
    lines = _lines(p, bodies)
    forms, sizes = _forms(p, lines)
    forms = _moulds_replaced(p, forms)
    glazes = words("glazes")[: p.glazes]
    lab = np.array([[float(row[c]) for c in ("lightness", "a", "b")] for row in glazes])
    return Things(
        lines, forms, sizes, bodies, glazes, lab, _decorations(p), words("trims"),
        tuple(row["name"] for row in words("customers")[: p.customers]),
    )  # fmt: skip


def _lines(p: Parameters, bodies: tuple[str, ...]) -> tuple[Line, ...]:
    found = []
    for row in words("lines")[: p.lines]:
        of = tuple(bodies.index(name) for name in row["bodies"].split(";"))
        kinds = tuple(k["kind"] for k in words("kinds") if row["kinds"] in k["group"].split())
        found.append(
            Line(
                row["name"],
                int(row["start"]),
                int(row["end"]),
                row["habit"],
                float(row["share"]),
                of,
                kinds,
                row["technique"],
            )
        )
    return tuple(found)


def _forms(p: Parameters, lines: tuple[Line, ...]) -> tuple[tuple[Form, ...], tuple[Size, ...]]:
    rng = stream(p.seed, "forms")
    forms: list[Form] = []
    sizes: list[Size] = []
    kind_of = {row["kind"]: row for row in words("kinds")}
    for number, line in enumerate(lines):
        offers = [(kind, style) for kind in line.kinds for style in kind_of[kind]["styles"].split(";")]
        chosen = [offers[i] for i in rng.permutation(len(offers))[: p.forms_a_line]]
        first = len(forms)
        for kind, style in chosen:
            forms.append(_form(rng, number, line, f"{style} {kind}", kind_of[kind]))
            _add_sizes(rng, sizes, len(forms) - 1, kind_of[kind])
        own = list(range(first, len(forms)))
        _add_twins(p, rng, forms, sizes, own)
        _add_lids(forms, sizes, own, kind_of)
    return tuple(forms), tuple(sizes)


def _form(rng: np.random.Generator, number: int, line: Line, name: str, kind: dict[str, str]) -> Form:
    early = rng.random() < 0.6
    designed = line.start if early else int(rng.integers(line.start, max(line.start + 1, line.end - 6)))
    end = line.end if rng.random() < 0.6 else int(rng.integers(min(designed + 4, line.end), line.end + 1))
    weight = float(kind["weight"]) * float(np.exp(0.5 * rng.standard_normal()))
    return Form(number, name, kind["kind"], designed, max(end, designed), weight, int(rng.integers(0, 10**6)))


def _add_sizes(rng: np.random.Generator, sizes: list[Size], form: int, kind: dict[str, str]) -> None:
    trade = kind["trade_sizes"].split(";")
    across, high = ([float(v) for v in kind[c].split(";")] for c in ("across_mm", "high_mm"))
    style = float(np.exp(0.05 * rng.standard_normal()))
    many = int(rng.integers(1, len(trade) + 1))
    chosen = sorted(rng.permutation(len(trade))[:many].tolist())
    sizes += [Size(form, trade[i], round(across[i] * style, 1), round(high[i] * style, 1)) for i in chosen]


def _add_twins(p: Parameters, rng: np.random.Generator, forms: list[Form], sizes: list[Size], own: list[int]) -> None:
    features = words("features")
    for base in own[: p.twins]:
        of = forms[base]
        told = features[int(rng.integers(0, len(features)))]
        forms[base] = _with(of, look_at=told["look_at"], seen=told["first"])
        name = f"Late {of.name.lower()}"
        start = min(of.designed + int(rng.integers(0, 12)), of.end)
        twin = _with(
            of,
            name=name,
            designed=start,
            weight=0.7 * of.weight,
            twin=base,
            look_at=told["look_at"],
            seen=told["second"],
        )
        forms.append(twin)
        sizes.extend(Size(len(forms) - 1, s.trade, s.across, s.high) for s in list(sizes) if s.form == base)


def _add_lids(forms: list[Form], sizes: list[Size], own: list[int], kinds: dict[str, dict[str, str]]) -> None:
    for base in own:
        if kinds[forms[base].kind]["companion"] != "lid":
            continue
        of = forms[base]
        forms.append(
            _with(of, name=f"{of.name} lid", kind="lid", weight=0.25 * of.weight, base=base, look_at="", seen="")
        )
        sizes += [
            Size(len(forms) - 1, s.trade, round(0.93 * s.across, 1), round(0.35 * s.high, 1))
            for s in [s for s in sizes if s.form == base]
        ]


def _moulds_replaced(p: Parameters, forms: tuple[Form, ...]) -> tuple[Form, ...]:
    """Some worn moulds gave way to new ones a little larger or smaller, for every form that shared them."""
    rng = stream(p.seed, "moulds")
    after: dict[int, tuple[int, float]] = {}
    for mould in dict.fromkeys(form.mould for form in forms):
        first, last = min(f.designed for f in forms if f.mould == mould), max(f.end for f in forms if f.mould == mould)
        worn, when, change = rng.random(), rng.random(), rng.standard_normal()
        if worn < p.moulds_replaced and last > first:
            after[mould] = first + 1 + int(when * (last - first)), round(float(np.exp(NEW_MOULD * change)), 4)
    return tuple(
        _with(form, replaced=after[form.mould][0], change=after[form.mould][1]) if form.mould in after else form
        for form in forms
    )


def _with(form: Form, **changes: Any) -> Form:
    return Form(**{name: changes.get(name, getattr(form, name)) for name in Form.__dataclass_fields__})


def _decorations(p: Parameters) -> tuple[Decoration, ...]:
    rng = stream(p.seed, "decorations")
    parts, places = words("decoration_words"), words("placements")
    pairs = [f"{a['first']} and {b['second'].lower()}" for a in parts for b in parts]
    techniques = np.array(["transfer", "printing", "painting", "gilding", "relief"])
    found = [Decoration("Undecorated", "none", "", int(YEARS[0]))]
    for i in rng.permutation(len(pairs))[: p.decorations - 1]:
        technique = str(rng.choice(techniques, p=[0.35, 0.25, 0.25, 0.05, 0.1]))
        fitting = [row["place"] for row in places if technique in row["techniques"].split()]
        found.append(Decoration(pairs[i], technique, str(rng.choice(fitting)), int(rng.integers(1904, 1962))))
    return tuple(found)
