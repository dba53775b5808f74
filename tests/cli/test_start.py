"""How the command starts: one thread of linear algebra, unless its user says otherwise."""

import os
import subprocess
import sys

import pytest

STARTED = """
import os, sys
from footring.cli import main
assert "numpy" not in sys.modules, "too late to set the threads"
try:
    main(["--help"])
finally:
    assert "numpy" in sys.modules
    print(os.environ["OPENBLAS_NUM_THREADS"])
"""


@pytest.mark.parametrize(("given", "threads"), [({}, "1"), ({"OPENBLAS_NUM_THREADS": "4"}, "4")])
def test_one_thread_is_set_before_numpy_is_loaded(given, threads):
    env = {name: value for name, value in os.environ.items() if name != "OPENBLAS_NUM_THREADS"} | given
    done = subprocess.run([sys.executable, "-c", STARTED], env=env, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == threads, done.stderr
