"""A process that is killed in the middle of writing loses nothing that it had said was done, and leaves nothing half."""

import os
import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest

TIMES = 50
WRITER = """
import sys
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from footring.records.acts import act, undo
from footring.records.ids import new_id
from footring.rows.collection import Piece, Reading
while True:
    piece = new_id()
    readings = [Reading(new_id(), piece=piece, name="across", value=f"{n} mm") for n in range(200, 240)]
    with act("put away", None) as doing:
        doing.add(Piece(piece), *readings)
    print("kept", doing.act.pk, piece, flush=True)
    with act("rename", None) as doing:
        doing.change("pieces", piece, name="Covered dish")
    print("named", doing.act.pk, piece, flush=True)
"""
LOOKER = """
import json, sys
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from collections import Counter
from footring.records.models import MODELS, Act, Change
print(json.dumps({
    "pieces": list(MODELS["pieces"].objects.values_list("pk", "name")),
    "readings": Counter(MODELS["readings"].objects.values_list("piece_id", flat=True)),
    "acts": list(Act.objects.values_list("pk", "what", "tables")),
    "changes": list(Change.objects.values_list("act_id", "row_id")),
}))
"""


def child(code: str, folder: Path) -> subprocess.Popen[str]:
    ours = ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")
    environment = {name: value for name, value in os.environ.items() if name not in ours}
    return subprocess.Popen(
        [sys.executable, "-c", code, str(folder)], stdout=subprocess.PIPE, text=True, env=environment
    )


@pytest.mark.slow
def test_what_was_said_to_be_kept_is_kept_whole_however_often_it_is_killed(tmp_path):
    import json

    dice, said = random.Random(1), {"kept": set(), "named": set()}
    for _ in range(TIMES):
        writing = child(WRITER, tmp_path)
        first = writing.stdout.readline()
        try:
            writing.wait(dice.uniform(0.0, 0.15))
        except subprocess.TimeoutExpired:
            os.kill(writing.pid, signal.SIGKILL)
        for line in [first, *writing.stdout.read().splitlines(keepends=True)]:
            if line.endswith("\n"):
                what, _, piece = line.split()
                said[what].add(piece)
        writing.stdout.close()
        assert writing.wait() == -signal.SIGKILL
    looking = child(LOOKER, tmp_path)
    found = json.loads(looking.communicate()[0])
    names = dict(found["pieces"])
    assert len(said["kept"]) >= TIMES
    assert said["kept"] <= set(names), "nothing that was acknowledged is lost"
    assert {piece for piece, name in names.items() if name is None} & said["named"] == set()
    assert set(found["readings"]) == set(names) and set(found["readings"].values()) == {40}, "nothing is half there"
    renamed = {piece for piece, name in names.items() if name}
    assert renamed == {row for _, row in found["changes"]}
    assert all(tables for _, _, tables in found["acts"]), "every act was finished"
