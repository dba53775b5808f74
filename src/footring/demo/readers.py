"""How readers put what they see into words: one table of chances for each kind of reading, sampled and scored alike."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod

import numpy as np
from numpy.typing import NDArray

from footring.demo.factory import Things
from footring.demo.parameters import Parameters
from footring.demo.words import stream, words

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Vocabulary:
    """Words for one kind of reading.

    Parameters
    ----------
    words : tuple of str
        What may be typed; "none" for what was looked for and not found.
    p : array, shape (readers, values + 1, words)
        p(word | reader, value); the last value is a piece from outside.
    """

    words: tuple[str, ...]
    p: Floats


def vocabularies(p: Parameters, things: Things) -> dict[str, Vocabulary]:
    """Tables of every reading in words."""
    rng = stream(p.seed, "readers")
    slips = np.clip(p.misread * np.exp(0.5 * rng.standard_normal(p.readers)), 0.002, 0.4)
    forms, decorations, trims = things.forms, things.decorations, things.trims
    same_line = np.array([[a.line == b.line for b in forms] for a in forms], float)
    same_kind = np.array([[a.kind == b.kind for b in forms] for a in forms], float)
    apart = np.linalg.norm(things.lab[:, None] - things.lab[None], axis=2)
    alike = np.array([[a.technique == b.technique for b in decorations] for a in decorations], float)
    kin = np.array([[a.name.split()[0] == b.name.split()[0] for b in decorations] for a in decorations], float)
    lines = len(things.lines)
    by = {
        "line": ([line.name for line in things.lines], np.ones((lines, lines)), None, "lines"),
        "maker": (["Quillow & Tarn Works"], np.ones((1, 1)), None, "makers"),
        "form": (
            [f.name for f in forms],
            0.02 + same_line + 4 * same_line * same_kind,
            [f.kind for f in forms],
            "forms",
        ),
        "body": (list(things.bodies), np.ones((len(things.bodies),) * 2), None, "bodies"),
        "glaze": ([g["name"] for g in things.glazes], np.exp(-apart / 9.0), None, "glazes"),
        "effect": ([g["effect"] for g in things.glazes], np.exp(-apart / 20.0), None, ""),
        "decoration": (["none", *(d.name for d in decorations[1:])], 0.03 + alike + 5 * kin, None, "decorations"),
        "technique": ([d.technique for d in decorations], 0.2 + alike, None, ""),
        "placement": ([d.place or "none" for d in decorations], np.ones((len(decorations),) * 2), None, ""),
        "trim": (["none", *(t["name"] for t in trims[1:])], np.ones((len(trims),) * 2), None, "trims"),
        "trade_size": ([s.trade for s in things.sizes], np.ones((len(things.sizes),) * 2), None, ""),
    }
    found = {name: _vocabulary(slips, *given) for name, given in by.items()}
    return found | {"customer": _customers(0.2 * slips, things)}


def _customers(slips: Floats, things: Things) -> Vocabulary:
    """Words for whose name a piece bears: first of the values is nobody's, as of what is from outside."""
    names = ["none", *things.customers]
    of = _vocabulary(slips, names, np.ones((len(names), len(names))), None, "customers")
    return Vocabulary(of.words, np.concatenate([of.p[:, :-1], of.p[:, :1]], axis=1))


def _vocabulary(slips: Floats, names: list[str], near: Floats, kinds: list[str] | None, unknown: str) -> Vocabulary:
    others = [row["word"] for row in words("words_unknown") if row["table"] == unknown]
    typed = sorted({*names, *(kinds or ()), *others})
    at = {word: i for i, word in enumerate(typed)}
    own = np.zeros((len(names), len(typed)))
    share = 0.35 if kinds else 1.0
    for value, name in enumerate(names):
        own[value, at[name]] += share
        if kinds:
            own[value, at[kinds[value]]] += 1.0 - share
    near = near * (1.0 - np.eye(len(names)))
    near = near / np.maximum(near.sum(axis=1, keepdims=True), 1e-12)
    slipped = near @ own if len(names) > 1 else own
    elsewhere = np.zeros(len(typed))
    for word in others:
        elsewhere[at[word]] += 0.6 / len(others)
    mean = own.mean(axis=0)
    outside = elsewhere + (1.0 - elsewhere.sum()) * mean
    strange = np.zeros(len(typed))
    for word in others:
        strange[at[word]] = 1.0 / len(others)
    rest = strange if others else mean
    rows = (0.99 - slips[:, None, None]) * own + slips[:, None, None] * slipped + 0.01 * rest
    return Vocabulary(
        tuple(typed), np.concatenate([rows, np.broadcast_to(outside, (len(slips), 1, len(typed)))], axis=1)
    )


def confuse(rng: np.random.Generator, text: str, swap: float, blank: float) -> str:
    """Lettering as read: some characters wrong, some unreadable."""
    out = []
    for character in text:
        if character in " /":
            out.append(character)
            continue
        draw = rng.random()
        signs = SIGNS.replace(character, "")
        out.append("?" if draw < blank else str(rng.choice(list(signs))) if draw < blank + swap else character)
    return "".join(out)


SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


def confused(read: str, texts: tuple[str, ...], swap: float, blank: float) -> Floats:
    """p(read | text) of `confuse`, for each text."""
    found = np.zeros(len(texts))
    for i, text in enumerate(texts):
        if len(text) == len(read):
            found[i] = prod(_seen(true, seen, swap, blank) for true, seen in zip(text, read, strict=True))
    return found


def _seen(true: str, seen: str, swap: float, blank: float) -> float:
    """p(one character read | what stands there)."""
    if true in " /":
        return float(seen == true)
    if seen == "?":
        return blank
    if seen == true:
        return 1.0 - blank - swap
    return swap / len(SIGNS.replace(true, "")) * (seen in SIGNS)


def frayed(rng: np.random.Generator, read: str, lost: float) -> str:
    """Lettering as read off a worn label: some of its characters left out, and after some a sign put in."""
    out = []
    for character in read:
        gone, added = rng.random(2) < lost if character not in " /" else (False, False)
        out.append(("" if gone else character) + (str(rng.choice(list(SIGNS))) if added else ""))
    return "".join(out)


def frayed_chance(read: str, texts: tuple[str, ...], swap: float, blank: float, lost: float) -> Floats:
    """p(read | text) of `confuse` and then `frayed`, summed over all that may have been lost and put in."""
    return np.array([_frayed_chance(read, text, swap, blank, lost) for text in texts])


def _frayed_chance(read: str, text: str, swap: float, blank: float, lost: float) -> float:
    """Forward, a character of the text at a time: p(the first so many characters read)."""
    added = lost / len(SIGNS) * np.array([character in SIGNS for character in read], float)
    p = np.zeros(len(read) + 1)
    p[0] = 1.0
    for true in text:
        worn = 0.0 if true in " /" else lost
        own = (1.0 - worn) * np.array([_seen(true, seen, swap, blank) for seen in read])
        kept = worn * p
        kept[1:] += p[:-1] * own
        p = (1.0 - worn) * kept
        p[1:] += kept[:-1] * (added if worn else 0.0)
    return float(p[-1])
