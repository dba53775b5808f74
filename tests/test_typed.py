"""The pages are typed as they stand, and say what comes out; `...` is whatever differs from day to day."""

import doctest
import re
import shlex
import subprocess
import sys
from itertools import islice
from threading import Timer

import pytest

from footring.cli import main
from tests.house import ROOT

PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
RUN_UNTIL_CLOSED = ("open", "serve")
OURS = ("DATABASE_URL", "DJANGO_SETTINGS_MODULE", "FOOTRING_STORE")
BLOCK = re.compile(r"^```(console|pycon)\n(.*?)^```$", re.DOTALL | re.MULTILINE)


def blocks(kind):
    return [
        pytest.param(
            page.name, match[2], id=f"{page.name}:{page.read_text('utf-8')[: match.start()].count(chr(10)) + 1}"
        )
        for page in PAGES
        for match in BLOCK.finditer(page.read_text("utf-8"))
        if match[1] == kind
    ]


def commands(block):
    """Each command of a block with the lines under it."""
    for text in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        command, _, shown = text.partition("\n")
        yield shlex.split(command), shown.rstrip()


@pytest.fixture(scope="module")
def folders(tmp_path_factory):
    """One folder for each page, where what a command wrote is there for the next."""
    made = {}

    def of(page):
        if page not in made:
            made[page] = tmp_path_factory.mktemp("page")
            for name in ("src", "docs", "tests"):
                (made[page] / name).symlink_to(ROOT / name)
        return made[page]

    return of


def printed(argv, lines, capsys):
    """What a command prints; of one that runs until it is closed so many lines."""
    if argv[0] not in RUN_UNTIL_CLOSED:
        code, out = main(argv), capsys.readouterr()
        assert code == 0, out.err
        return out.out.rstrip()
    run = "import sys; from footring.cli import main; sys.exit(main())"
    with subprocess.Popen([sys.executable, "-c", run, *argv], stdout=subprocess.PIPE, text=True) as serving:
        late = Timer(100, serving.kill)  # it prints less than the page shows, and would go on for ever
        late.start()
        out = "".join(islice(serving.stdout, lines))
        late.cancel()
        serving.terminate()
    return out.rstrip()


@pytest.mark.parametrize(("page", "block"), blocks("console"))
def test_a_command_prints_what_the_page_shows(page, block, folders, capsys, monkeypatch):
    monkeypatch.chdir(folders(page))
    for name in OURS:
        monkeypatch.delenv(name, raising=False)
    for (program, *argv), shown in commands(block):
        assert program == "footring"
        out = printed(argv, shown.count("\n") + 1, capsys)
        assert doctest.OutputChecker().check_output(shown, out, doctest.ELLIPSIS), out


@pytest.mark.parametrize(("page", "block"), blocks("pycon"))
def test_python_does_what_the_page_shows(page, block):
    test = doctest.DocTestParser().get_doctest(block, {}, "page", None, 0)
    assert doctest.DocTestRunner(verbose=False).run(test).failed == 0
