"""A process that is killed while it brings a file in leaves nothing of it; the next one brings it in whole."""

import json
import os
import random
import signal
import subprocess
import sys
import time

import pytest

ROWS, TIMES = 4000, 4
COMMON = """
import json, sys, time
from pathlib import Path
from footring.records.folder import opened
folder = Path(sys.argv[1])
opened(folder)
from footring.records.bring_in import progress, work
from footring.records.models import MODELS, Act, Job, State, User
from footring.records.worker import start_worker
progress.BEAT_SECONDS, progress.DEAD_SECONDS, progress.AGAIN_SECONDS = 0.2, 1.0, 0.0
"""
BEGIN = """
if not Job.objects.exists():
    (folder / "incoming").mkdir(exist_ok=True)
    (folder / "plates.csv").rename(folder / "incoming" / "plates.csv")
    by = User.objects.get(username="keeper")
    work.start(Job.objects.create(by=by, what="plates.csv", kind="sheet", file="plates.csv"))
start_worker()
while Job.objects.get().busy or (folder / "incoming" / "1.progress").exists():
    time.sleep(0.05)
print(Job.objects.get().state, flush=True)
"""
LOOK = """
job = Job.objects.get()
print(json.dumps({
    "state": job.state, "message": job.message, "acts": Act.objects.count(), "act": job.act_id,
    "counts": [MODELS[table].objects.count() for table in ("pieces", "readings", "places")],
}))
"""


def child(code, folder):
    environment = {
        name: value for name, value in os.environ.items() if name not in ("DJANGO_SETTINGS_MODULE", "DATABASE_URL")
    }
    return subprocess.Popen(
        [sys.executable, "-c", COMMON + code, str(folder)], stdout=subprocess.PIPE, text=True, env=environment
    )


def seen(folder):
    return json.loads(child(LOOK, folder).communicate()[0])


def killed_while_writing(code, folder, part):
    """Start it, and kill it once a part of the rows is written; whether it was still at work."""
    process, file = child(code, folder), folder / "incoming" / "1.progress"
    while process.poll() is None:
        try:
            told = json.loads(file.read_text())
        except (OSError, ValueError):
            told = {"total": 0}
        if told["total"] and told["done"] >= part * told["total"]:
            break
        time.sleep(0.005)
    process.send_signal(signal.SIGKILL)
    process.stdout.close()
    return process.wait() == -signal.SIGKILL


@pytest.mark.slow
def test_what_was_killed_is_brought_in_whole_by_the_next_process(tmp_path):
    lines = [f"{i},cup,Ormsley,{100 + i % 200},Shelf {i % 7}" for i in range(ROWS)]
    (tmp_path / "plates.csv").write_text("id,form,line,across (mm),place\n" + "\n".join(lines) + "\n")
    dice = random.Random(1)
    for _ in range(TIMES):
        assert killed_while_writing(BEGIN, tmp_path, dice.uniform(0.0, 0.95))
        found = seen(tmp_path)
        assert (found["state"], found["acts"], found["counts"]) == ("running", 0, [0, 0, 0])
    assert child(BEGIN, tmp_path).communicate()[0] == "done\n"
    found = seen(tmp_path)
    assert (found["acts"], found["counts"]) == (1, [ROWS, 3 * ROWS, 7]) and found["act"] is not None
    assert [path.name for path in (tmp_path / "incoming").iterdir()] == ["plates.csv"]


@pytest.mark.slow
def test_taking_back_goes_on_after_a_kill_too(tmp_path):
    (tmp_path / "plates.csv").write_text("form,line\n" + "cup,Ormsley\n" * 500)
    assert child(BEGIN, tmp_path).communicate()[0] == "done\n"
    process = child(
        "work.take_back(Job.objects.get())\nwork._take_back = lambda *_: time.sleep(60)\n" + BEGIN, tmp_path
    )
    while seen(tmp_path)["state"] != "going back" or not (tmp_path / "incoming" / "1.progress").exists():
        time.sleep(0.05)
    process.send_signal(signal.SIGKILL)
    process.communicate()
    assert seen(tmp_path)["counts"][0] == 500
    assert child(BEGIN, tmp_path).communicate()[0] == "back\n"
    assert seen(tmp_path)["counts"] == [0, 0, 0]
