"""The pages are typed as they stand, and say what comes out."""

import doctest
import re
import shlex

import pytest

from footring.cli import main
from tests.house import ROOT

PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
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


@pytest.mark.parametrize(("page", "block"), blocks("console"))
def test_a_command_prints_what_the_page_shows(page, block, folders, capsys, monkeypatch):
    monkeypatch.chdir(folders(page))
    for (program, *argv), shown in commands(block):
        assert program == "footring"
        code = main(argv)
        out = capsys.readouterr()
        assert code == 0, out.err
        if shown != "...":
            assert out.out.rstrip() == shown


@pytest.mark.parametrize(("page", "block"), blocks("pycon"))
def test_python_does_what_the_page_shows(page, block):
    test = doctest.DocTestParser().get_doctest(block, {}, "page", None, 0)
    assert doctest.DocTestRunner(verbose=False).run(test).failed == 0
