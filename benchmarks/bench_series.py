"""A series of 5,000 numbers on a 231-year grid, one member in 25 dated."""

from __future__ import annotations

import statistics
import time

import numpy as np

from footring.reasoning.series import date_series

MEMBERS, YEARS = 5000, 231


def _likelihoods() -> np.ndarray:
    rng = np.random.default_rng(1)
    likelihoods = np.ones((MEMBERS, YEARS))
    for member in rng.choice(MEMBERS, MEMBERS // 25, replace=False):
        year = member / MEMBERS * YEARS + rng.normal(0, 2)
        likelihoods[member] = np.exp(-0.5 * ((np.arange(YEARS) - year) / 3) ** 2)
    return likelihoods


def main() -> None:
    likelihoods = _likelihoods()
    for name, kwargs in {"weak": {}, "weak, exceptions 2 %": {"exception_rate": 0.02}}.items():
        took = []
        for _ in range(7):
            start = time.perf_counter()
            date_series(likelihoods, **kwargs)
            took.append(time.perf_counter() - start)
        print(
            f"series: {MEMBERS} numbers x {YEARS} years, {name}: median {statistics.median(took):.2f} s, "
            f"worst {max(took):.2f} s (to reach: 1 s)"
        )


if __name__ == "__main__":
    main()
