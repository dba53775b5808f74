"""Names with one letter wrong."""

from __future__ import annotations

from collections.abc import Container


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
