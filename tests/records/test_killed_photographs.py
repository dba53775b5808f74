"""A server that is killed while photographs come in: what it said was kept is kept, nothing is half there, nothing stays behind."""

import hashlib
import http.client
import io
import json
import os
import random
import re
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from threading import Event

import pytest
from PIL import Image

TIMES, AT_ONCE = 50, 3
SIZES = (2_000, 400_000, 3_000_000)
"""Bytes, about: in memory, in several pieces, and by way of a temporary file."""
SERVE = """
import os, sys
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from django.db import connections
from footring.cli.serving import server_of
from footring.records.acts import act
from footring.rows.collection import Piece
from footring.web.launch import new_token
from django.test import Client
with act("put away", None) as doing:
    doing.add(Piece("dish"))
browser = Client(HTTP_HOST="127.0.0.1")
for page in (f"/enter/{new_token()}/", "/piece/dish/"):  # all is loaded once
    browser.get(page)
connections.close_all()
for _ in sys.stdin:
    if os.fork() == 0:
        server = server_of("127.0.0.1", 0)
        print(os.getpid(), server.effective_port, new_token(), flush=True)
        server.run()
    os.wait()
"""
LOOK = """
import json, os, sys
from datetime import timedelta
from pathlib import Path
folder = Path(sys.argv[1])
for coming_in in folder.glob("*.upload*"):
    os.utime(coming_in, (0, 0))
from footring.records.folder import opened
opened(folder)
from footring.records.models import MODELS, Act, Change
from footring.records.photographs import sweep
print(json.dumps({
    "rows": list(MODELS["photographs"].objects.values_list("sha256", "piece_id", "side")),
    "acts": list(Act.objects.values_list("what", "tables")),
    "left": sweep(timedelta(0)),
}))
"""


def environment(folder):
    ours = ("DATABASE_URL", "DJANGO_SETTINGS_MODULE", "FOOTRING_STORE")
    return {k: v for k, v in os.environ.items() if k not in ours} | {"TMPDIR": str(folder)}


@contextmanager
def server(folder, temporary):
    """Something that serves the folder each time it is told to; yields how to have it serve: process id, port, token."""
    with subprocess.Popen(
        [sys.executable, "-c", SERVE, str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        env=environment(temporary),
    ) as process:  # fmt: skip

        def serve():
            process.stdin.write("again\n")
            process.stdin.flush()
            pid, port, token = process.stdout.readline().split()
            return int(pid), int(port), token

        yield serve


class Browser:
    """Signed in once, then sends photographs, each until it was told that it is kept."""

    def __init__(self, port, token):
        self.cookie = self.ask(port, "GET", f"/enter/{token}/")[1]["Set-Cookie"].split(";")[0]
        self.form = re.search(r'csrfmiddlewaretoken" value="(\w+)"', self.ask(port, "GET", "/piece/dish/")[2])[1]

    def ask(self, port, method, path, body=None, **headers):
        headers |= {"Cookie": self.cookie} if hasattr(self, "cookie") else {}
        with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=20)) as connection:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            return answer.status, answer.headers, answer.read().decode()

    def send(self, port, photograph):
        """Whether it was told to be kept."""
        fields = "".join(
            f'--edge\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
            for name, value in (("csrfmiddlewaretoken", self.form), ("side", "foot"))
        )
        file = 'Content-Disposition: form-data; name="photograph"; filename="a.jpg"\r\nContent-Type: image/jpeg\r\n\r\n'
        body = f"{fields}--edge\r\n{file}".encode() + photograph + b"\r\n--edge--\r\n"
        kind = {"Content-Type": "multipart/form-data; boundary=edge"}
        status, _, page = self.ask(port, "POST", "/piece/dish/photograph/", body, **kind)
        assert status == 302 or (status == 400 and "kept already" in page), page
        return True


def photographs(dice):
    """No two alike; decoders stop at the end of the first picture, and what stands behind it is kept."""
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "teal").save(out, "JPEG")
    while True:
        yield out.getvalue() + dice.randbytes(dice.choice(SIZES))


def sent_until_killed(browser, port, told, waiting, dice):
    """Sums of photographs that were told to be kept before the server was gone."""
    kept = []
    try:
        while True:
            waiting[:1] = waiting[:1] or [next(photographs(dice))]
            browser.send(port, waiting[0])
            told.set()
            kept.append(hashlib.sha256(waiting.pop()).hexdigest())
    except (OSError, http.client.HTTPException):
        return kept


def files(folder):
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def looked_at(folder, temporary):
    command = [sys.executable, "-c", LOOK, str(folder)]
    return json.loads(subprocess.run(command, check=True, stdout=subprocess.PIPE, env=environment(temporary)).stdout)


@pytest.mark.slow
def test_photographs_that_were_told_to_be_kept_are_kept_whole_however_often_it_is_killed(tmp_path):
    folder, temporary = tmp_path / "plates", tmp_path / "temporary"
    temporary.mkdir()
    dice, kept, browser = random.Random(2), set(), None
    senders = [([], random.Random(n)) for n in range(AT_ONCE)]
    with server(folder, temporary) as serve, ThreadPoolExecutor(AT_ONCE) as pool:
        for n in range(TIMES):
            (pid, port, token), told = serve(), Event()
            browser = browser or Browser(port, token)
            sending = [pool.submit(sent_until_killed, browser, port, told, *sender) for sender in senders]
            if n % 2:  # some are killed before they kept any, however quick the machine is, and some are not
                told.wait(20)
            time.sleep(dice.uniform(0.0, 0.2))
            os.kill(pid, signal.SIGKILL)
            kept.update(*(each.result() for each in sending))
    cut_off = files(folder)
    found = looked_at(folder, temporary)
    sums = [sha256 for sha256, _, _ in found["rows"]]
    assert len(kept) >= TIMES // 2 and kept <= set(sums), "nothing that was acknowledged is lost"
    assert len(sums) == len(set(sums)) and {(piece, side) for _, piece, side in found["rows"]} == {("dish", "foot")}
    assert all(tables for _, tables in found["acts"]) and len(found["acts"]) == len(sums) + 1, "every act was finished"
    for sha256 in sums:
        assert hashlib.sha256((folder / f"photos/{sha256[:2]}/{sha256}.jpg").read_bytes()).hexdigest() == sha256
    assert any(name.endswith(".part") for name in found["left"]), "it was killed in the middle"
    assert any("upload" in name for name in cut_off), "it was killed while a large one came in"
    photos = {f"photos/{sha256[:2]}/{sha256}.jpg" for sha256 in sums}
    assert files(folder) - photos <= {".secret", *(f"collection.sqlite3{end}" for end in ("", "-wal", "-shm"))}
    ours = {name for name in files(temporary) if not name.startswith("etilqs_")}
    assert ours == set(), "SQLite takes the name off its own a moment after it opens it (from memory)"
