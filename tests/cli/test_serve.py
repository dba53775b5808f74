"""`footring serve`: who asks over what is turned away, who is invited comes in, from start to sign-in over a socket."""

import http.client
import os
import re
import signal
import subprocess
import sys
from contextlib import closing

import pytest

from footring.cli import main
from footring.records.store import store_of
from footring.terms.errors import BadInput, MissingPart


@pytest.mark.parametrize("hosts", ["", "*", "https://plates.example", "plates.example,*.example"])
def test_names_are_needed_and_none_may_stand_for_all(hosts, capsys, monkeypatch):
    monkeypatch.delenv("FOOTRING_HOSTS", raising=False)
    assert main(["serve", "--hosts", hosts]) == 2
    assert "plates.example" in capsys.readouterr().err


def ask(port, path, method="GET", **headers):
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=20)) as connection:
        connection.request(method, path, headers={name.replace("_", "-"): of for name, of in headers.items()})
        answer = connection.getresponse()
        return answer.status, dict(answer.getheaders()), answer.read().decode()


@pytest.fixture
def serving(tmp_path):
    environment = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    run = "import sys; from footring.cli import main; sys.exit(main())"
    command = [sys.executable, "-c", run, "serve", str(tmp_path), "--hosts", "plates.example", "--port", "0"]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as process:
        first = process.stdout.readline()
        process.stdout.readline()
        yield int(re.search(r":(\d+)$", first)[1]), process.stdout.readline().strip()
        process.send_signal(signal.SIGINT)
        assert process.communicate(timeout=20)[0] == "Closed.\n" and process.returncode == 0


def test_a_society_from_its_first_start_to_its_keeper(serving):
    port, address = serving
    assert address.startswith("https://plates.example/invited/")
    path = address.removeprefix("https://plates.example")
    status, headers, _ = ask(port, path, Host="plates.example")
    assert (status, headers["Location"]) == (301, address), "plain HTTP is sent to HTTPS"
    assert ask(port, path, Host="evil.example", X_Forwarded_Proto="https")[0] == 400
    status, headers, page = ask(
        port, path, Host="plates.example", X_Forwarded_Proto="https", X_Forwarded_For="203.0.113.7"
    )
    assert status == 200 and "keeper: everything" in page and "server" not in {name.lower() for name in headers}


LET_IN = """
import sys
from pathlib import Path
from footring.cli import main
from footring.records.folder import opened
opened(Path(sys.argv[1]))  # somebody's own first
sys.exit(main(["serve", sys.argv[1], "--hosts", "plates.example", "--let-in", sys.argv[2]]))
"""


def let_in(folder, name):
    environment = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    command = [sys.executable, "-c", LET_IN, str(folder), name]
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False)


def test_a_keeper_whose_password_is_lost_is_let_in_by_whoever_runs_the_server(tmp_path):
    done = let_in(tmp_path, "keeper")
    assert done.returncode == 0, done.stderr
    first, address = done.stdout.splitlines()
    assert first == "keeper comes in, once, at:"
    assert re.fullmatch(r"https://plates\.example/invited/[\w-]{43}/", address)
    nobody = let_in(tmp_path, "Keeper")
    assert nobody.returncode == 2 and "'Keeper': expected the name of an account that is open" in nobody.stderr


def test_a_store_that_speaks_s3_is_asked_for_in_a_sentence(tmp_path, monkeypatch):
    assert store_of("", tmp_path)["OPTIONS"] == {"location": tmp_path}
    for odd in ("https://bucket", "s3://", "s3://plates?endpont=https://host", "s3://plates?endpoint=host:9000"):
        with pytest.raises(BadInput, match="expected s3://bucket"):
            store_of(odd, tmp_path)
    with pytest.raises(BadInput, match="without keys in it"):
        store_of("s3://key:secret@bucket", tmp_path)
    monkeypatch.setattr("footring.records.store.find_spec", lambda _: None)
    with pytest.raises(MissingPart, match=r"footring\[store\]"):
        store_of("s3://bucket", tmp_path)
    monkeypatch.setattr("footring.records.store.find_spec", lambda name: name)
    made = store_of("s3://bucket/plates/?endpoint=https://store.example&region=here", tmp_path)
    told = {"bucket_name": "bucket", "location": "plates", "endpoint_url": "https://store.example"}
    assert made["OPTIONS"] == {**told, "region_name": "here"}
