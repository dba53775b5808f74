"""The rules of the house, as checks. Each names every place that breaks it, all at once."""

import argparse
import ast
import csv
import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from statistics import median, quantiles

import pytest

from footring import cli
from tests.house import BELOW_THE_BORDER, PACKAGE, ROOT, functions, lines_of_code, sources, tree, where

PINNED = sorted((ROOT / "requirements").glob("*.txt"))
TABLES = sorted(PACKAGE.glob("*/tables/*.csv"))
STATUSES = ("opened", "memory", "from memory", "common practice, no source", "derived")
SERVING = ("open", "serve")
CLOCKS = {"now", "today", "utcnow", "time_ns", "localtime", "gmtime", "monotonic", "perf_counter"}
CLOCKS |= {f"time.{name}" for name in ("time", *CLOCKS)}
NEVER_SAID = (
    "seed[ ]document",
    "food[ -]safe",
    "safe[ ]to (?:eat|use|heat)",
    "guaranteed[ ]genuine",
    "certificate[ ]of authenticity",
)
QUOTED = ("src/footring/marks/tables", "src/footring/care/tables", "tests/published", "tests/gold", "tests/bad_input")


# ---- pinned dependencies


def test_pinned_files_hold_no_address_and_every_pin_a_hash():
    assert {path.name for path in PINNED} == {"app.txt", "bench.txt", "core.txt", "dev.txt"}
    for path in PINNED:
        text = path.read_text(encoding="utf-8")
        assert "://" not in text, path.name
        pins = re.split(r"\n(?=\S)", text.strip())
        assert [pin for pin in pins if "--hash=sha256:" not in pin or "==" not in pin] == [], path.name
    assert not (ROOT / "uv.lock").exists()


def pins(name: str) -> set[str]:
    text = (ROOT / "requirements" / name).read_text("utf-8")
    return set(re.findall(r"^\S+==\S+(?: ; [^\\]+)?", text, re.MULTILINE))


def test_what_the_core_pins_the_pages_and_the_tests_pin_alike():
    assert len(pins("core.txt")) >= 3
    assert pins("core.txt") <= pins("app.txt") <= pins("dev.txt")


def test_what_is_compared_with_changes_no_pin():
    bench, dev = pins("bench.txt"), pins("dev.txt")
    named = [{pin.split("==")[0] for pin in pins} for pins in (bench, dev)]
    assert {"pgmpy", "pyagrum"} <= named[0]
    versions = [{pin.split(" ;")[0] for pin in pins} for pins in (bench, dev)]
    assert {pin for pin in versions[0] if pin.split("==")[0] in named[1]} <= versions[1]
    assert not {"torch", "pyro-ppl"} & (named[0] | named[1])


def test_core_needs_little():
    names = set(re.findall(r"^([a-z0-9-]+)==", (ROOT / "requirements/core.txt").read_text("utf-8"), re.MULTILINE))
    assert names == {"numpy", "scipy", "setuptools"}


# ---- size and shape


def test_files_are_short():
    lengths = {str(path.relative_to(ROOT)): len(path.read_text("utf-8").splitlines()) for path in sources()}
    assert {name: lines for name, lines in lengths.items() if lines >= 400} == {}


def test_functions_are_short():
    lengths = {where(path, node) + f" {node.name}": lines_of_code(path, node) for path, node in functions()}
    longest = sorted(lengths.items(), key=lambda item: -item[1])[:8]
    assert median(lengths.values()) < 8, longest
    assert quantiles(lengths.values(), n=10)[-1] < 30, longest


def test_no_clock_below_the_border():
    calls = [
        (path, node)
        for path in sources(*BELOW_THE_BORDER)
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call) and _called(node) in CLOCKS
    ]
    assert [where(path, node) for path, node in calls] == []


def _called(call: ast.Call) -> str:
    """Name of what is called; the module's name too where a method of a datetime has the same (`time.time`)."""
    if not isinstance(call.func, ast.Attribute):
        return getattr(call.func, "id", "")
    of_module = isinstance(call.func.value, ast.Name) and call.func.value.id == "time"
    return f"time.{call.func.attr}" if of_module else call.func.attr


def test_public_things_below_the_border_say_what_they_are():
    assert [place for path in sources(*BELOW_THE_BORDER) for place in _untold(path, tree(path))] == []


def _untold(path: Path, parent: ast.Module | ast.ClassDef) -> Iterator[str]:
    for node in parent.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            if ast.get_docstring(node) is None:
                yield f"{where(path, node)} {node.name}"
            if isinstance(node, ast.ClassDef):
                yield from _untold(path, node)


# ---- facts


def test_tables_are_found():
    assert {path.parts[-3] for path in TABLES} >= {"terms", "marks", "reasoning"}


@pytest.mark.parametrize("path", TABLES, ids=lambda path: f"{path.parts[-3]}/{path.name}")
def test_every_fact_has_a_source_and_a_status(path):
    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert rows
    assert {"source", "status"} <= set(rows[0])
    assert [n for n, row in enumerate(rows, 2) if not (row["source"] or "").strip()] == []
    assert [n for n, row in enumerate(rows, 2) if not (row["status"] or "").startswith(STATUSES)] == []


# ---- the command line


@cache
def verbs() -> dict[str, argparse.ArgumentParser]:
    """Every command that can be given, nested ones as "pack check"."""
    return dict(_leaves(cli.parser(), ""))


def _leaves(parser: argparse.ArgumentParser, name: str) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    nested = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    if not nested:
        yield name, parser
    for action in nested:
        for verb, child in action.choices.items():
            yield from _leaves(child, f"{name} {verb}".strip())


def examples(parser: argparse.ArgumentParser) -> list[str]:
    """Command lines in an epilog: those that begin with, or pipe into, `footring`."""
    lines = (line.strip() for line in (parser.epilog or "").splitlines())
    return [line for line in lines if re.match(r"footring |[^|]+\| *footring ", line)]


def test_every_verb_is_registered():
    assert {name.split()[0] for name in verbs()} == set(cli.VERBS)


def test_every_command_has_help():
    bare = [name for name, parser in verbs().items() if not parser.description or not parser.format_help()]
    silent = [f"{name} {a.dest}" for name, parser in verbs().items() for a in parser._actions if not a.help]
    listed = [
        a
        for p in [cli.parser()]
        for s in p._actions
        if isinstance(s, argparse._SubParsersAction)
        for a in s._choices_actions
    ]
    assert (bare, silent) == ([], [])
    assert {action.dest for action in listed if action.help} == set(cli.VERBS)


def test_every_command_has_an_example_and_all_examples_run(tmp_path):
    for name in ("src", "docs", "tests"):
        (tmp_path / name).symlink_to(ROOT / name)
    without = [name for name, parser in verbs().items() if not examples(parser)]
    failed = [
        said for name, parser in verbs().items() for line in examples(parser) if (said := _run(name, line, tmp_path))
    ]
    assert (without, failed) == ([], [])


def _run(name: str, line: str, folder: Path) -> str | None:
    """What went wrong with an example, None when it ran as its own verb."""
    if not re.search(rf"\bfootring {name}\b", line):
        return f"{line}: is no example of {name}"
    path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    if name in SERVING:
        return _opens(line, folder, {**os.environ, "PATH": path, "HOME": str(folder), "BROWSER": "true"})
    done = subprocess.run(
        line, shell=True, cwd=folder, env={**os.environ, "PATH": path}, capture_output=True, text=True, timeout=120
    )
    return None if done.returncode == 0 and done.stdout else f"{line}: exit {done.returncode} {done.stderr.strip()}"


def _opens(line: str, folder: Path, environment: dict[str, str]) -> str | None:
    """What went wrong with a command that runs until it is closed."""
    with subprocess.Popen(
        shlex.split(line), cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as serving:
        first = serving.stdout.readline() if serving.stdout else ""
        serving.terminate()  # an interrupt is ignored by what was started in the background
        _, wrong = serving.communicate(timeout=30)
    return None if " is open at " in first else f"{line}: {first} {wrong}"


# ---- words


def test_words_we_never_say():
    said = []
    for path in _texts():
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            said += [f"{path.relative_to(ROOT)}:{number} {w}" for w in NEVER_SAID if re.search(w, line, re.IGNORECASE)]
    assert said == []


def _texts() -> list[Path]:
    """Texts of the project, without the tables that quote marks, makers and museums."""
    found = [path for folder in ("src", "tests", "docs", "benchmarks") for path in (ROOT / folder).rglob("*")]
    found += ROOT.glob("*.md")
    kinds = {".py", ".md", ".csv", ".json", ".toml", ".txt", ".html", ".css", ".js"}
    return [p for p in found if p.suffix in kinds and not p.relative_to(ROOT).as_posix().startswith(QUOTED)]
