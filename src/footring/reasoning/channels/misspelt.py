"""Names with one letter wrong."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence


def misspellings(typed: str, names: Container[str], alphabet: str) -> list[tuple[str, float]]:
    """The names that one slip turns into what was typed, each with the chance that a slip in it gives just this.

    Parameters
    ----------
    typed : str
        What was typed.
    names : container of str
        Names it may have been.
    alphabet : str
        Letters that may be typed instead, or in addition.

    Returns
    -------
    list of (name, p)
        In the order of the names. A slip is, equally often, another letter, a letter left out, one too many or two
        exchanged, at any place alike; a slip that a name is too short for, or that changes nothing, gives the name.

    Examples
    --------
    >>> misspellings("Omsley", {"Ormsley", "Wherry"}, "abcdefghijklmnopqrstuvwxyz")
    [('Ormsley', 0.03571428571428571)]
    """
    found: dict[str, float] = {}
    size, n = len(alphabet), len(typed)

    def add(name: str, p: float) -> None:
        if name in names:
            found[name] = found.get(name, 0.0) + p / 4.0

    for i, c in enumerate(typed):
        if c in alphabet:
            for other in alphabet:
                add(typed[:i] + other + typed[i + 1 :], 1.0 / (n * size))
            add(typed[:i] + typed[i + 1 :], 1.0 / (n * size))
    for i in range(n + 1):
        for other in alphabet:
            add(typed[:i] + other + typed[i:], 1.0 / (n + 1))
    for i in range(n - 1):
        add(typed[:i] + typed[i + 1] + typed[i] + typed[i + 2 :], 1.0 / (n - 1))
    if n == 1:
        add(typed, 2.0)
    return sorted(found.items())


def near_names(typed: str, by_length: Mapping[int, Sequence[str]], alphabet: str) -> list[tuple[str, float]]:
    """The same as `misspellings` where names are few: each of about this length is looked at.

    Parameters
    ----------
    typed : str
        What was typed.
    by_length : mapping of int to sequence of str
        The names, by how many letters they have.
    alphabet : str
        Letters that may be typed instead, or in addition.
    """
    n = len(typed)
    half = max((n - 2) // 2, 0)
    start, end = typed[:half], typed[n - half :]
    found = [
        (name, chance)
        for length in (n - 1, n, n + 1)
        for name in by_length.get(length, ())
        if name.startswith(start) or name.endswith(end)
        if (chance := slip_chance(name, typed, alphabet))
    ]
    return sorted(found)


def slip_chance(name: str, typed: str, alphabet: str) -> float:
    """Chance that a slip in a name gives just what was typed.

    Examples
    --------
    >>> slip_chance("Ormsley", "Omsley", "abc") == 1 / 7 / 4
    True
    """
    n, size = len(name), len(alphabet)
    if len(typed) == n + 1:
        too_many = sum(typed[i] in alphabet and typed[:i] + typed[i + 1 :] == name for i in range(n + 1))
        return too_many / ((n + 1) * size) / 4.0
    if len(typed) == n - 1:
        return sum(name[:i] + name[i + 1 :] == typed for i in range(n)) / n / 4.0
    if len(typed) != n:
        return 0.0
    return _same_length(name, typed, alphabet) / 4.0


def _same_length(name: str, typed: str, alphabet: str) -> float:
    n = len(name)
    wrong = [i for i in range(n) if name[i] != typed[i]]
    if not wrong:
        other = sum(c in alphabet for c in typed) / (n * len(alphabet))
        twice = sum(name[i] == name[i + 1] for i in range(n - 1))
        return other + (2.0 if n == 1 else twice / (n - 1))
    if len(wrong) == 1:
        return (typed[wrong[0]] in alphabet) / (n * len(alphabet))
    i, j = wrong[0], wrong[-1]
    exchanged = len(wrong) == 2 and j == i + 1 and name[i] == typed[j] and name[j] == typed[i]
    return 1.0 / (n - 1) if exchanged else 0.0
