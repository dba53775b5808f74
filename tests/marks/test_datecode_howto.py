"""The worked example of the how-to page runs as it stands."""

import csv
import doctest
import re
from pathlib import Path

from footring.marks.datecodes import build_schemes, decode

PAGE = Path(__file__).parents[2] / "docs" / "how-to" / "add-a-date-code-scheme.md"


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)


def test_the_example_runs():
    schemes, fields, tokens = (list(csv.DictReader(block.splitlines())) for block in blocks("csv"))
    known = {"build_schemes": build_schemes, "decode": decode}
    known |= {"scheme_rows": schemes, "field_rows": fields, "token_rows": tokens}
    (code,) = blocks("python")
    test = doctest.DocTestParser().get_doctest(code, known, PAGE.name, str(PAGE), 0)
    runner = doctest.DocTestRunner()
    runner.run(test)
    assert (runner.failures, runner.tries) == (0, 5)
