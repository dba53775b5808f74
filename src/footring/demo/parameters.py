"""What a world is drawn with: sizes, habits and noise, kept in a JSON file."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields, replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import numpy as np

from footring.terms.errors import BadInput

_RANGES: dict[str, tuple[float, float]] = {
    "seed": (0, 2**31), "lines": (1, 8), "forms_a_line": (2, 40), "treatments_a_line": (2, 200),
    "decorations": (8, 400), "glazes": (4, 25), "customers": (0, 5), "outside_makers": (1, 12),
    "outside_share": (0.0, 0.5), "breadth": (0.02, 1.0), "tail": (0.0, 3.0), "unevenness": (0.0, 3.0),
    "fashion": (0.0, 1.0), "batches": (0, 500), "samples_share": (0.0, 0.2), "lag_tail": (0.0, 0.5),
    "left_over": (0.0, 0.5), "sister_numbers": (0.0, 0.3), "numbered": (0.0, 1.0), "marriages": (0.0, 0.5),
    "twins": (0, 10), "moulds_replaced": (0.0, 1.0), "size_spread": (0.001, 0.1),
    "instrument_mm": (0.1, 10.0), "colour_noise": (0.2, 20.0), "letters_lost": (0.0, 0.2),
    "readers": (1, 12), "looks": (0.1, 2.0), "misread": (0.0, 0.4), "lettering_noise": (0.0, 0.3),
    "unreadable": (0.0, 0.5), "doubtful": (0.0, 0.5), "documented": (0.0, 1.0), "settled": (0.0, 1.0),
    "selected_share": (0.0, 0.95), "taste": (0.0, 5.0),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameters:
    """How a world is drawn.

    Parameters
    ----------
    seed : int
        Of the factory itself: what was made does not depend on who meets it.
    lines, forms_a_line, treatments_a_line, decorations, glazes, customers, outside_makers : int
        How many there are. Outside makers are in no pack.
    outside_share : float
        Of the pieces met, how many are of outside makers.
    breadth : float
        Mean share of a line's forms that a treatment was offered on.
    tail, unevenness : float
        Exponent of how unequally treatments were ordered; standard deviation of the logarithm of a cell's rate.
    fashion : float
        0: a treatment sold alike in every year of its window; 1: all in waves.
    batches : int
        Exporters' orders: many pieces of few cells in one year.
    samples_share : float
        Share of pieces that were samples or specials, in cells never offered.
    lag_tail, left_over : float
        Share of blanks decorated from old stock; share of printed marks and labels used after their time.
    sister_numbers, numbered : float
        Share of numbers written that are a sister line's; share of pieces that carry their line's number.
    marriages : float
        Share of lids that came from elsewhere.
    twins : int
        Pairs of near twins a line.
    moulds_replaced : float
        Share of moulds that were replaced while in use, by one a little larger or smaller.
    size_spread, instrument_mm, colour_noise : float
        Spread of a form's size as a share; standard uncertainty of a rule; of a colour, in CIELAB units.
    readers : int
        People who read, each with habits of looking and confusions of their own.
    looks, misread : float
        Scales how many things are read off a piece; mean share of names misread.
    lettering_noise, unreadable, doubtful : float
        Share of characters misread, and unreadable; share of names given as doubtful.
    letters_lost : float
        Share of the characters of a label that were lost, and as many that were put in.
    documented, settled : float
        Share of what the lists of a time say that has come down; share of met pieces someone has settled.
    selected_share, taste : float
        Share of encounters through channels where someone chose; how strongly they choose the unusual.
    """

    seed: int = 1904
    lines: int = 5
    forms_a_line: int = 13
    treatments_a_line: int = 180
    decorations: int = 150
    glazes: int = 25
    customers: int = 5
    outside_makers: int = 12
    outside_share: float = 0.02
    breadth: float = 0.3
    tail: float = 1.1
    unevenness: float = 0.8
    fashion: float = 0.6
    batches: int = 25
    samples_share: float = 0.01
    lag_tail: float = 0.05
    left_over: float = 0.05
    sister_numbers: float = 0.015
    numbered: float = 0.8
    marriages: float = 0.08
    twins: int = 2
    moulds_replaced: float = 0.4
    size_spread: float = 0.012
    instrument_mm: float = 1.0
    colour_noise: float = 2.5
    readers: int = 5
    looks: float = 1.0
    misread: float = 0.05
    lettering_noise: float = 0.015
    unreadable: float = 0.03
    doubtful: float = 0.06
    letters_lost: float = 0.015
    documented: float = 0.5
    settled: float = 0.95
    selected_share: float = 0.3
    taste: float = 1.0

    def as_json(self) -> str:
        """As a world file."""
        return json.dumps(asdict(self), indent=1) + "\n"


def read_world(given: str | None) -> Parameters:
    """The parameters of a world file, of `random:SEED`, or the invented pottery's when nothing is given.

    Raises
    ------
    BadInput
        The file cannot be read, or says something that no world has.

    Examples
    --------
    >>> read_world(None).lines, read_world("random:7") == random_world(7)
    (5, True)
    """
    if given is None:
        return Parameters()
    kind, _, seed = given.partition(":")
    if kind == "random":
        if not seed.isdecimal() or not seed.isascii() or len(seed) > 9:
            raise BadInput(f"world {given!r}: random: is followed by a seed, such as random:7")
        return random_world(int(seed))
    return _from_text(_text_of(Path(given)), given)


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise BadInput(f"world file {path}: {error.strerror or error}; give a JSON file, or random:SEED") from error
    except UnicodeDecodeError as error:
        raise BadInput(f"world file {path} is not UTF-8 text; save it as JSON in UTF-8") from error


def _from_text(text: str, path: str) -> Parameters:
    try:
        said = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise BadInput(f"world file {path} is no JSON: {error}") from error
    if not isinstance(said, dict):
        raise BadInput(f'world file {path} holds {type(said).__name__}; expected one object, such as {{"lines": 3}}')
    values: dict[str, Any] = {name: _value(path, name, value) for name, value in said.items()}
    return replace(Parameters(), **values)


def _value(path: str, name: str, value: Any) -> float:
    if name not in _RANGES:
        near = get_close_matches(name, _RANGES, 1)
        hint = f"did you mean {near[0]}?" if near else "it may say " + ", ".join(_RANGES)
        raise BadInput(f"world file {path}: no world has {name!r}; {hint}")
    low, high = _RANGES[name]
    whole = _WHOLE[name]
    if isinstance(value, bool) or not isinstance(value, int if whole else int | float) or not low <= value <= high:
        kind = "a whole number" if whole else "a number"
        raise BadInput(f"world file {path}: {name} is {value!r}; expected {kind} from {low:g} to {high:g}")
    return value


_WHOLE = {field.name: isinstance(field.default, int) for field in fields(Parameters)}


def random_world(seed: int) -> Parameters:
    """A world whose parameters are drawn at random; the same seed gives the same world.

    Examples
    --------
    >>> 3 <= random_world(7).lines <= 8
    True
    """
    rng = np.random.default_rng([seed, 77])
    whole = {"lines": (3, 8), "forms_a_line": (8, 16), "treatments_a_line": (30, 90), "decorations": (60, 200)}
    whole |= {"glazes": (12, 25), "customers": (1, 5), "batches": (5, 60), "readers": (3, 7), "twins": (1, 3)}
    shares = {"breadth": (0.2, 0.6), "tail": (0.9, 1.4), "unevenness": (0.5, 1.0), "fashion": (0.2, 0.9)}
    shares |= {"samples_share": (0.004, 0.02), "lag_tail": (0.02, 0.1), "left_over": (0.02, 0.1)}
    shares |= {"sister_numbers": (0.005, 0.03), "numbered": (0.6, 0.9), "size_spread": (0.008, 0.02)}
    shares |= {"instrument_mm": (0.6, 2.0), "colour_noise": (1.5, 4.0), "looks": (0.85, 1.2), "misread": (0.02, 0.08)}
    shares |= {"lettering_noise": (0.005, 0.03), "unreadable": (0.01, 0.06), "documented": (0.35, 0.65)}
    shares |= {"moulds_replaced": (0.2, 0.6), "letters_lost": (0.005, 0.03)}
    drawn: dict[str, Any] = {name: int(rng.integers(low, high + 1)) for name, (low, high) in whole.items()}
    drawn |= {name: round(float(rng.uniform(low, high)), 4) for name, (low, high) in shares.items()}
    return replace(Parameters(), seed=seed, **drawn)
