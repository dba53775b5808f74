"""Sources that draw on one another count once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from footring.reference import Reference


class Lineage:
    """Which sources draw on which, directly or through others.

    Parameters
    ----------
    drawn_from : mapping of source to iterable of sources
        As declared. Circles are allowed: sources that draw on each other are one.

    Examples
    --------
    >>> told = Lineage({"book": ["talk"], "article": ["talk"]})
    >>> told.shares({"book", "talk", "ledger"}) == {"talk": 1.0, "ledger": 1.0, "book": 0.0}
    True
    >>> sorted(told.shares({"book", "article"}).items())
    [('article', 0.5), ('book', 0.5)]
    """

    def __init__(self, drawn_from: Mapping[object, Iterable[object]]) -> None:
        parents = {source: tuple(others) for source, others in drawn_from.items()}
        known = {*parents, *(other for others in parents.values() for other in others)}
        self._behind = {source: _reached(source, parents) for source in known}

    def __contains__(self, source: object) -> bool:
        return source in self._behind

    def behind(self, source: object) -> frozenset[object]:
        """The source itself and everything it draws on."""
        return self._behind.get(source, frozenset((source,)))

    def families(self, sources: Iterable[object]) -> list[list[object]]:
        """Sources grouped so that those of one group share something they draw on. In no particular order."""
        groups: list[tuple[set[object], list[object]]] = []
        for source in sources:
            behind, members = set(self.behind(source)), [source]
            for group in [group for group in groups if group[0] & behind]:
                groups.remove(group)
                behind |= group[0]
                members += group[1]
            groups.append((behind, members))
        return [members for _, members in groups]

    def shares(self, sources: Iterable[object]) -> dict[object, float]:
        """How much of one voice each source is that says the same thing.

        Of each family only those count that draw on no other of it, in equal parts; together they count for 1.
        """
        found: dict[object, float] = {}
        for members in self.families(sorted(sources, key=str)):
            first = [source for source in members if not self._copies(source, members)]
            found |= {source: 1.0 / len(first) if source in first else 0.0 for source in members}
        return found

    def _copies(self, source: object, members: Iterable[object]) -> bool:
        return any(other in self.behind(source) and source not in self.behind(other) for other in members)


def lineage_of(reference: Reference) -> Lineage:
    """The declared lineage, sources as row indices."""
    links = reference.tables["lineages"].links
    drawn: dict[object, list[object]] = {}
    for source, other in zip(links["source"].tolist(), links["drawn_from"].tolist(), strict=True):
        drawn.setdefault(source, []).append(other)
    return Lineage(drawn)


def _reached(source: object, parents: Mapping[object, tuple[object, ...]]) -> frozenset[object]:
    seen, waiting = {source}, [source]
    while waiting:
        for other in parents.get(waiting.pop(), ()):
            if other not in seen:
                seen.add(other)
                waiting.append(other)
    return frozenset(seen)
