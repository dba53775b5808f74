"""How good the answers are on invented factories with known truth: four worlds, the worst of them in each row.

    python benchmarks/simulated.py [--met 200 2000] [--pieces 1000] [--worlds 4] [--seed 1] [--json FILE]

For each number of pieces met, the default world and three worlds whose parameters are drawn at random are simulated,
learned from and answered; each row of the table comes from the world that is furthest from what is to be reached. The
other methods are fitted on the same settled pieces, tuned on a quarter held out of them, and never see the test pieces.
Pieces from channels where somebody chose, a fifth as many, are told beside.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import time
from dataclasses import asdict
from pathlib import Path

from footring.demo.parameters import read_world
from footring.demo.simulate import simulate
from footring.reasoning.calibration.evaluation import Evaluation, evaluate
from footring.reasoning.calibration.simulated import read_simulated
from footring.reasoning.calibration.table import worst
from footring.reasoning.calibration.tell import SELECTED, tell, tell_rows

WORLDS = (None, "random:1", "random:2", "random:3")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--met", type=int, nargs="+", default=[200, 2000], help="pieces met, for the packs")
    parser.add_argument("--pieces", type=int, default=1000, help="test pieces of each world")
    parser.add_argument("--worlds", type=int, default=4, choices=range(1, 5), help="how many of the four worlds")
    parser.add_argument("--seed", type=int, default=1, help="of who met what")
    parser.add_argument("--json", type=Path, metavar="FILE", help="every figure of every world, for later")
    given = parser.parse_args()
    kept: dict[int, list[Evaluation]] = {}
    for met in given.met:
        kept[met] = [one(world, met, given.pieces, given.seed) for world in WORLDS[: given.worlds]]
        print(f"\n==== {met} pieces met, worst of {given.worlds} worlds in each row ====\n")
        print("\n".join(tell_rows(worst([found.plain.rows for found in kept[met]]))), flush=True)
        if selected := [found.selected.rows for found in kept[met] if found.selected]:
            print(f"\n{SELECTED.capitalize()}, worst of {len(selected)} worlds in each row\n")
            print("\n".join(tell_rows(worst(selected))), flush=True)
    if given.json:
        every = {met: [asdict(of) for of in found] for met, found in kept.items()}
        given.json.write_text(json.dumps(every, default=str), encoding="utf-8")


def one(world: str | None, met: int, pieces: int, seed: int) -> Evaluation:
    """Simulate, learn, answer; all files are thrown away afterwards."""
    began = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "world"
        simulate(read_world(world), seed, met, pieces, out)
        found = evaluate(read_simulated(out), progress)
    print(f"\n---- {world or 'default world'}, {time.perf_counter() - began:.0f} s ----\n{tell(found)}", flush=True)
    return found


def progress(what: str, _done: int, total: int) -> None:
    if total == 0:
        print(f"  {what}", file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
