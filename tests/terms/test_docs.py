"""The table of typed dates in docs/index.md says what the reader does."""

import re

import pytest

from footring.terms.phrases import parse_when
from tests.house import ROOT

ROWS = re.findall(r"^\| (`.+`) \| (`.+`) \|", (ROOT / "docs" / "index.md").read_text(encoding="utf-8"), re.MULTILINE)


def test_the_table_is_found():
    assert len(ROWS) >= 13


@pytest.mark.parametrize(("typed", "read_as"), ROWS)
def test_typed_dates(typed, read_as):
    phrases, expected = re.findall("`([^`]+)`", typed), re.findall("`([^`]+)`", read_as)
    if len(expected) == 1:
        expected *= len(phrases)
    assert [str(parse_when(phrase)) for phrase in phrases] == expected
