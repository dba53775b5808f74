"""A pack of a million encounters, from disk: how long reading and checking takes, and how much memory."""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from footring.packs import load_pack, write_pack
from footring.rows import TABLES, RowTable, coded

ENCOUNTERS = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
CHANNELS, OUTINGS, PLACES = 12, 4_000, 300
TARGET_S = 20.0


def tables(count: int) -> dict[str, RowTable]:
    """Encounters of as many pieces, on outings at places, each with an id, a day and a recorder."""
    draw = np.random.default_rng(7)
    days = [
        f"{year}-{month:02}-{day:02}" for year in range(1980, 2026) for month in range(1, 13) for day in range(1, 29)
    ]
    named = {
        "places": {"id": [f"ossel.place-{i}" for i in range(PLACES)], "name": [f"Fair {i}" for i in range(PLACES)]},
        "channels": {
            "id": [f"ossel.channel-{i}" for i in range(CHANNELS)],
            "name": [f"Channel {i}" for i in range(CHANNELS)],
            "selected": [i % 2 == 0 for i in range(CHANNELS)],
        },
        "outings": {"id": [f"ossel.outing-{i}" for i in range(OUTINGS)], "logged": ["everything"] * OUTINGS},
        "pieces": {"id": [f"ossel.piece-{i}" for i in range(count)]},
    }
    named["encounters"] = {
        "id": [f"ossel.met-{i}" for i in range(count)],
        "piece": coded(draw.permutation(count), named["pieces"]["id"]),
        "met": coded(draw.integers(len(days), size=count), days),
        "channel": coded(draw.integers(-1, CHANNELS, size=count), named["channels"]["id"]),
        "outing": coded(draw.integers(-1, OUTINGS, size=count), named["outings"]["id"]),
        "place": coded(draw.integers(-1, PLACES, size=count), named["places"]["id"]),
        "recorded_by": coded(draw.integers(3, size=count), ["ines", "harold", "app"]),
    }
    return {name: RowTable.from_columns(TABLES[name], columns) for name, columns in named.items()}


def timed(what: str, work, size_mb: float) -> float:
    start = time.perf_counter()
    work()
    seconds = time.perf_counter() - start
    rate = f"{ENCOUNTERS / seconds / 1e3:7.0f} thousand encounters a second"
    print(f"  {what:<34} {seconds:6.1f} s   {rate}   {size_mb:5.0f} MB")
    return seconds


def write(folder: Path, packed: Path) -> None:
    made = tables(ENCOUNTERS)
    timed("write a folder", lambda: write_pack(made, folder), 0)
    timed("write a zip", lambda: write_pack(made, packed), 0)


def main() -> int:
    with tempfile.TemporaryDirectory() as name:
        folder, packed = Path(name, "pack"), Path(name, "pack.zip")
        print(f"A pack of {ENCOUNTERS:,} encounters of as many pieces")
        write(folder, packed)
        size = sum(path.stat().st_size for path in folder.iterdir()) / 1e6
        seconds = timed("read and check the folder", lambda: load_pack(folder), size)
        timed("read and check the zip", lambda: load_pack(packed), packed.stat().st_size / 1e6)
    print(f"  most memory held at any time       {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    print(f"  folder {'within' if seconds <= TARGET_S else 'NOT within'} the {TARGET_S:.0f} s it may take")
    return 0 if seconds <= TARGET_S else 1


if __name__ == "__main__":
    sys.exit(main())
