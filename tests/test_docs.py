"""Pages point at pages that are there, say why each part is needed and every variable that is read; keys are in the bibliography."""

import re
from calendar import month_name

from tests.house import PACKAGE, ROOT, sources

PAGES = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]
INDEX = ROOT / "docs" / "index.md"
SOCIETY = ROOT / "docs" / "how-to" / "open-it-to-a-society.md"
OF_THE_PAGES = ("keep-a-collection.md", "open-it-to-a-society.md", "bring-in-a-spreadsheet.md")
SET_BY_ITSELF = {"OPENBLAS_NUM_THREADS", "DJANGO_SETTINGS_MODULE"}
THE_SYSTEMS = {"LOCALAPPDATA", "XDG_DATA_HOME"}


def test_links_lead_somewhere():
    links = [(page, link) for page in PAGES for link in re.findall(r"\]\(([^)#:\s]+)[^)]*\)", page.read_text("utf-8"))]
    missing = [f"{page.relative_to(ROOT)}: {link}" for page, link in links if not (page.parent / link).exists()]
    assert len(links) > 5
    assert missing == []


def test_the_index_lists_every_page():
    listed = {
        (INDEX.parent / link).resolve() for link in re.findall(r"\]\(([^)#:\s]+)[^)]*\)", INDEX.read_text("utf-8"))
    }
    assert sorted(page.name for page in {*PAGES} - listed - {INDEX}) == []


def test_what_a_page_says_to_press_is_there_to_press():
    """What stands bold in a how-to of the pages stands in them."""
    shown = "\n".join(path.read_text("utf-8") for path in (PACKAGE / "web").rglob("*.html"))
    shown += (PACKAGE / "web" / "context.py").read_text("utf-8")
    bold = [(name, words) for name in OF_THE_PAGES for words in re.findall(r"\*\*([^*]+)\*\*", _how_to(name))]
    missing = [(name, words) for name, words in bold if " ".join(words.split()).rstrip(".") not in shown]
    assert len(bold) > 40
    assert missing == []


def _how_to(name):
    return (ROOT / "docs" / "how-to" / name).read_text("utf-8")


def test_each_part_that_is_needed_has_its_reason():
    told = "\n".join(page.read_text("utf-8") for page in (ROOT / "docs" / "decisions").glob("*.md")).lower()
    project = (ROOT / "pyproject.toml").read_text("utf-8").partition("[project]")[2].partition("[project.scripts]")[0]
    parts = set(re.findall(r'"([a-z][a-z0-9-]*)(?:\[[a-z0-9,]+\])?>=', project)) - {"setuptools"}
    assert len(parts) > 25
    assert sorted(part for part in parts if not re.search(rf"(?<![\w-]){part}(?![\w-])", told)) == []


def test_every_variable_that_is_read_is_told_to_whoever_serves():
    code, told = "\n".join(path.read_text("utf-8") for path in sources()), SOCIETY.read_text("utf-8")
    read = set(re.findall(r"\benviron(?:\.\w+\(|\[)\"(\w+)\"", code))
    assert read >= {"DATABASE_URL", "FOOTRING_STORE", "FOOTRING_HOSTS"}
    assert sorted(name for name in read - SET_BY_ITSELF - THE_SYSTEMS if f"`{name}`" not in told) == []


def test_decisions_are_numbered_without_a_gap():
    numbers = [int(page.name[:4]) for page in sorted((ROOT / "docs" / "decisions").glob("*.md"))]
    assert numbers == list(range(1, len(numbers) + 1))


CITED = re.compile(r"\b([A-Z][a-z]+)(?: (?:and|&) ([A-Z][a-z]+))? ((?:18|19|20)[0-9]{2})\b")
NO_AUTHORS = {*month_name, *"About Act After Before By Circa From In Late Early Since Until To".split()}


def cited() -> set[str]:
    """Keys of what docstrings cite by surname and year, such as South 1977."""
    found = {match for path in sources() for match in CITED.findall(path.read_text("utf-8"))}
    return {"".join(match) for match in found if match[0] not in NO_AUTHORS}


def test_what_is_cited_is_in_the_bibliography_once():
    keys = re.findall(r"^@\w+\{(\w+),", (ROOT / "BIBLIOGRAPHY.bib").read_text("utf-8"), re.MULTILINE)
    assert len(keys) == len(set(keys))
    assert {"South1977", "Ratcliffe2000"} <= cited()
    assert cited() - set(keys) == set()
