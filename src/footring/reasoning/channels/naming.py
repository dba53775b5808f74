"""Which words name which rows of the reference, for each kind of reading given in words."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from footring.reasoning.channels.colour import ciede2000
from footring.reasoning.channels.named import Named, word_key
from footring.reasoning.channels.rates import default_rate, word_table
from footring.reference import Reference
from footring.reference.compiled import CompiledTable
from footring.terms.tables import read_table

SPEAKS_OF = {
    "maker": ("maker", "makers"), "line": ("line", "lines"), "form": ("form", "forms"), "body": ("body", "bodies"),
    "glaze": ("glaze", "glazes"), "decoration": ("decoration", "decorations"), "trim": ("trim", "trims"),
    "customer": ("customer", "customers"), "effect": ("glaze", "glazes"), "technique": ("decoration", "decorations"),
    "placement": ("decoration", "decorations"), "country": ("maker", "makers"), "trade_size": ("size", "sizes"),
    "mark_kind": ("mark_in_clay", "marks"), "mark_colour": ("mark_in_clay", "marks"),
}  # fmt: skip
"""Readings given in words: the slot each speaks of (of marks, either), and its table."""

_COLUMNS = {
    "effect": "effect",
    "technique": "technique",
    "trade_size": "trade_size",
    "mark_kind": "technique",
    "mark_colour": "colour",
}
_NOTHING = {"trim": "kind", "decoration": "technique", "technique": "technique", "placement": "technique"}
_FAR = 40.0
_NEIGHBOURS = 24
Names = list[tuple[int, str, str]]


def named_for(reference: Reference, reading: str) -> Named:
    """The rows a reading may name, with their names and likenesses.

    Parameters
    ----------
    reference : Reference
        What is known.
    reading : str
        One of `SPEAKS_OF`.
    """
    table = reference.tables[SPEAKS_OF[reading][1]]
    names = _names(reference, reading, table)
    groups, near = {}, {}
    if reading == "form":
        line, kind = table.links["line"].astype(np.intp), _numbered(_words(table, "kind"))
        sister = np.where(kind < 0, -1, np.unique(np.stack([line, kind]), axis=1, return_inverse=True)[1].ravel())
        groups = {"line": line, "kind": kind, "sister": sister}
        near = {"twin": _twins(reference)}
    elif reading == "glaze":
        groups = {"effect": table.links["effect"].astype(np.intp)}
        near = {"colour": _like_colours(table)}
    elif reading == "decoration":
        groups = {"technique": table.links["technique"].astype(np.intp)}
    elif reading == "trim":
        groups = {"kind": table.links["kind"].astype(np.intp)}
    elif reading == "trade_size":
        groups = {"line": table.links["form"].astype(np.intp)}
    if reading in ("form", "glaze", "decoration", "trim"):
        groups["begins"] = _numbered([(word or "").partition(" ")[0] for word in _words(table, "name")])
    return Named(len(table), names, groups, near, _nothing(reading, table))


def features_for(reference: Reference) -> dict[str, Named]:
    """For each thing one may look at: which forms are told by what is seen there."""
    table = reference.tables["telltales"]
    found: dict[str, Names] = {}
    texts = zip(_words(table, "look_at"), _words(table, "seen"), _words(table, "seen_on_other"), strict=True)
    for i, (look_at, seen, other) in enumerate(texts):
        if table.current[i]:
            names = found.setdefault(word_key(look_at or ""), [])
            names.append((int(table.links["form"][i]), seen or "", "main"))
            names.append((int(table.links["other_form"][i]), other or "", "main"))
    return {look_at: Named(len(reference.tables["forms"]), names) for look_at, names in found.items()}


def _names(reference: Reference, reading: str, table: CompiledTable) -> Names:
    if reading == "placement":
        return _placements(reference)
    column = _COLUMNS.get(reading, "country" if reading == "country" else "name")
    names = [(i, word, "main") for i, word in enumerate(_words(table, column)) if word and word != "none"]
    if reading == "country":
        return names + [(i, other, "collectors") for i, word, _ in names for other in _same_country(word)]
    others = dict[str, list[str]]()
    for value, word in word_table().get(reading, ()):
        others.setdefault(value, []).append(word)
    if reading in _COLUMNS:
        words = _words(table, column)
        names += [(i, other, "collectors") for i, word in enumerate(words) for other in others.get(word or "", ())]
    if reading == "form":
        names += [(i, word, "kind") for i, word in enumerate(_words(table, "kind")) if word]
    return names if reading in _COLUMNS else names + list(_aliases(reference, SPEAKS_OF[reading][1]))


def _aliases(reference: Reference, table: str) -> Iterator[tuple[int, str, str]]:
    names = reference.tables["names"]
    of, called, kind = _words(names, "thing_table"), _words(names, "name"), _words(names, "kind")
    for i, thing in enumerate(names.links["thing"].tolist()):
        if of[i] == table and thing >= 0:
            yield thing, called[i] or "", kind[i] or ""


def _placements(reference: Reference) -> Names:
    table = reference.tables["placements"]
    things = table.links["decoration"].tolist()
    return [(i, place or "", "main") for i, place in zip(things, _words(table, "place"), strict=True) if i >= 0]


def _same_country(word: str) -> list[str]:
    """Words of one country; the country is as in the reference or in our own table."""
    rows = read_table("footring.marks", "country_words.csv")
    key = word_key(word)
    country = next((row["country"] for row in rows if word_key(row["word"]) == key), None)
    country = country or next((row["country"] for row in rows if word_key(row["country"]) == key), None)
    same = [row["word"] for row in rows if row["country"] == country and not row["region_of"]]
    return [] if country in (None, "various") else [other for other in [country, *same] if word_key(other) != key]


def _words(table: CompiledTable, column: str) -> list[str | None]:
    return table.text(column).tolist()


def _numbered(words: list[str | None]) -> NDArray[np.intp]:
    numbers: dict[str, int] = {}
    return np.array([numbers.setdefault(word_key(w), len(numbers)) if w else -1 for w in words], np.intp)


def _nothing(reading: str, table: CompiledTable) -> NDArray[np.bool_] | None:
    if reading not in _NOTHING:
        return None
    column = _NOTHING[reading]
    none = (table.spec.column(column).choices or ()).index("none")
    return np.equal(table.links[column], none)


def _twins(reference: Reference) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]:
    table = reference.tables["telltales"]
    pairs: NDArray[np.intp] = np.stack(
        [table.links["form"][table.current], table.links["other_form"][table.current]], axis=1
    ).astype(np.intp)
    pairs = np.unique(np.concatenate([pairs, pairs[:, ::-1]]), axis=0)
    one, other = pairs.T
    return one, other, np.ones(len(pairs))


def labs_of(table: CompiledTable) -> NDArray[np.float64]:
    """Mean colours of glazes, shape (glazes, 3), NaN where not known."""
    return np.stack([table.numbers[f"lab_{axis}"] for axis in ("lightness", "a", "b")], axis=1).astype(float)


def _like_colours(table: CompiledTable) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]:
    """Glazes of like colour, by CIEDE2000, the nearest two dozen of each."""
    labs = labs_of(table)
    known = np.flatnonzero(~np.isnan(labs).any(axis=1))
    if len(known) < 2:
        return np.empty(0, np.intp), np.empty(0, np.intp), np.empty(0)
    count = min(_NEIGHBOURS + 1, len(known))
    found = cKDTree(labs[known]).query(labs[known], k=count, distance_upper_bound=_FAR)
    apart, near = (np.asarray(part) for part in found)
    one, at = np.nonzero(np.isfinite(apart) & (near != np.arange(len(known))[:, None]))
    other = near[one, at]
    differences = ciede2000(labs[known][one], labs[known][other])
    return known[one], known[other], np.exp(-differences / (default_rate("glaze", "alike") or 1.0))
