"""The table of makers against the texts it cites, and what it makes of lettering."""

import csv
import re
import timeit
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.marks import makers
from footring.marks.foot import Foot, MarkPart
from footring.marks.makers import evidence, known_maker, maker_countries, spelled, table

HERE = Path(__file__).parent
FILE = Path(makers.__file__).parent / "tables" / "makers.csv"
LINES = list(csv.DictReader(FILE.read_text("utf-8").splitlines()))
ROWS = {row.id: row for row in table()}
PUBLISHED = list(csv.DictReader((HERE.parent / "published" / "makers.csv").read_text("utf-8").splitlines()))
YEARS = np.arange(1780, 2011)

# Words, places and phrases that stand on wares of any maker (invented or common; none is a firm's name).
TRAPS = (
    """
NEW ENGLAND|BONE CHINA|FINE BONE CHINA|MADE IN ENGLAND|MADE IN JAPAN|MADE IN GERMANY|MADE IN CZECHOSLOVAKIA|MADE IN U.S.A.|DRESDEN
CROWN|ROYAL|ROYAL CHINA|ROYAL IRONSTONE CHINA|SEMI-PORCELAIN|STAFFORDSHIRE|STOKE-ON-TRENT|BURSLEM / ENGLAND|HANLEY|TUNSTALL|LONGTON
COBRIDGE|ENGLAND|BAVARIA|LIMOGES / FRANCE|LIMOGES|CARLSBAD / AUSTRIA|KARLSBAD|VIENNA|PARIS|MEISSEN|SÈVRES|DELFT|GOUDA / HOLLAND|MAASTRICHT
SELB|ARZBERG|SCHRAMBERG|QUIMPER / FRANCE|LONGWY|NAGOYA|ARITA|KUTANI|SATSUMA|NIPPON|OCCUPIED JAPAN|OHIO / U.S.A.|EAST LIVERPOOL, OHIO
TRENTON, N.J.|ZANESVILLE|ROSEVILLE, OHIO|SYRACUSE, N.Y.|BUFFALO, N.Y.|RED WING, MINN.|STEUBENVILLE, OHIO|PADEN CITY|SEBRING, OHIO|SALEM
HAND PAINTED|UNDERGLAZE|DISHWASHER PROOF|OVEN PROOF|DETERGENT PROOF|WARRANTED 22 KT GOLD|REG. U.S. PAT. OFF.|RD. NO. 417417|TRADE MARK
WILLOW|ASIATIC PHEASANTS|BLUE DANUBE|OLD ENGLISH ROSE|PORCELAIN OPAQUE|TERRE DE FER|GRANITE CHINA|STONE CHINA|IRONSTONE|VITRIFIED
HOTEL WARE|DESIGNED BY|WINSTON CHURCHILL / ENGLAND|VICTORIA|REGINA|PRIMAVERA|AMPHORA|SPHINX|MIDWINTER|FRANCISCAN|UNIVERSAL|CATALINA
POOLE|DENBY|HORNSEA|LANGLEY|ABINGDON|WARWICK|HAMPSHIRE|GREENWOOD|DARTMOUTH|BELLEEK|QUILLOW & TARN WORKS / OSSEL FORD|ORMSLEY|WHERRY
DEPARTMENT OF COMMERCE|WOODEN|HEATHER|GRAYSTONE|GREEN AND GOLD|ALBERT HALL|ROYAL ALBERT HALL|LENOX AVENUE|A MEMBER OF THE GROUP
ZENITH|FLORA|ELITE|NAUTILUS|SERAPIS|VALENCIA|DUNMORE|SWANSEA|GLASGOW|PORTOBELLO|SCHOONHOVEN|PLAUE ON HAVEL|ST CLEMENT DANES|BENNINGTON, VT.|CROWN BRUSH
SECOND|PATENT APPLIED FOR|COPYRIGHT|GENUINE HAND ENGRAVING|PERMANENT COLOURS|CELADON|MAJOLICA|FAIENCE|DELLA ROBBIA|CAPODIMONTE
""".strip()
    .replace("\n", "|")
    .split("|")
)


def foot(*texts, **given_apart):
    return Foot(parts=tuple(MarkPart(text) for text in texts), **given_apart)


def rules(found):
    return {item.rule for item in found}


def test_the_table_is_whole():
    assert len(ROWS) == len(LINES)
    for line in LINES:
        assert line["id"] and line["maker"] and line["what"] and line["citation"] and line["source"], line["id"]
        assert line["status"] in ("opened", "memory") and line["scope"] in ("firm", "form"), line["id"]
        assert line["hand"] in ("made", "decorated", "sold"), line["id"]
        assert len(line["what"]) < 100, line["id"]


@pytest.mark.parametrize("line", LINES, ids=lambda line: line["id"])
def test_windows_are_sane(line):
    first, last = (int(line[side]) if line[side] else None for side in ("from", "to"))
    assert first is None or 1700 <= first <= 2010
    assert last is None or 1700 <= last <= 2025
    assert first is None or last is None or first < last
    assert float(line["soft_before"]) > 0 and float(line["soft_after"]) > 0


def test_what_was_opened_says_where_and_memory_is_wider():
    for line in LINES:
        if line["status"] == "opened":
            assert line["source"].startswith("http"), line["id"]
            assert "memory" not in line["citation"], line["id"]
        else:
            assert "memory" in line["citation"], line["id"]
            assert float(line["floor"]) >= 0.06 and float(line["soft_after"]) >= 5, line["id"]


def test_a_form_of_a_name_lies_within_its_firm():
    firms = {line["maker"]: line for line in LINES if line["scope"] == "firm"}
    for line in LINES:
        firm = firms.get(line["maker"])
        if line["scope"] == "form" and firm and firm["from"] and line["from"]:
            earliest = min(int(x["from"]) for x in LINES if x["maker"] == line["maker"] and x["scope"] == "firm")
            assert int(line["from"]) >= earliest, line["id"]


@pytest.mark.parametrize("line", LINES, ids=lambda line: line["id"])
def test_a_pattern_finds_its_own_example_and_no_other_makers(line):
    called = [row for row in table() if row.pattern.search(spelled(line["example"]))]
    assert line["id"] in [row.id for row in called]
    declared = set(line["also"].split())
    strangers = [row.id for row in called if row.maker != line["maker"] and row.id not in declared]
    assert not strangers


@pytest.mark.parametrize("text", TRAPS)
def test_ordinary_words_and_places_name_nobody(text):
    assert evidence(foot(text)) == []
    assert known_maker(foot(text)) is None
    assert maker_countries(foot(text)) == {}


@pytest.mark.parametrize("check", PUBLISHED, ids=lambda check: f"{check['key']}-{check['column']}")
def test_years_agree_with_the_cited_text(check):
    # Figures read in the text that `source` names.
    row = ROWS[check["key"]]
    held = row.window.first if check["column"] == "from" else row.window.last
    assert check["status"] == row.status == "opened"
    assert abs(held - int(check["year"])) <= int(check["tolerance"])


def test_spelling_points_accents_and_breaks_do_not_matter():
    for text in ("W.T.COPELAND & SONS", "W. T. Copeland / and Sons", "w t copeland + sons"):
        assert "COPELAND-SONS" in rules(evidence(foot(text)))
    assert rules(evidence(foot("RÖRSTRAND"))) == rules(evidence(foot("Rorstrand"))) == {"RORSTRAND"}


def test_the_tightest_form_comes_with_the_firm_and_only_narrows():
    found = evidence(foot("J & G MEAKIN LTD / HANLEY"))
    assert rules(found) == {"J-G-MEAKIN", "J-G-MEAKIN-LTD"}
    together = np.min([item.likelihood(YEARS) for item in found], axis=0)
    firm = next(item for item in found if item.rule == "J-G-MEAKIN").likelihood(YEARS)
    assert np.all(together <= firm)
    assert together[YEARS == 1870] < firm[YEARS == 1870] == 1.0
    assert {item.family for item in found} == {"firm"}


def test_a_name_given_apart_tells_the_firms_life_not_a_form():
    assert rules(evidence(foot(maker="Royal Copenhagen"))) == {"ROYAL-COPENHAGEN"}
    assert rules(evidence(foot("ROYAL COPENHAGEN"))) == {"ROYAL-COPENHAGEN", "ROYAL-COPENHAGEN-ENGLISH"}


def test_a_name_given_twice_counts_once():
    once, twice = evidence(foot("HORNSEA POTTERY")), evidence(foot("HORNSEA POTTERY", maker="Hornsea Pottery"))
    assert once == twice


def test_technique_says_which_date_is_meant():
    name = "RIDGWAYS"
    parts = tuple(MarkPart(name, technique=technique) for technique in ("impressed", "printed", "label", None))
    found = evidence(Foot(parts=parts))
    assert [(item.part, item.speaks_of) for item in found] == [(0, ("potted",)), (1, ("decorated",)), (2, ("sold",))]


def test_what_was_looked_for_and_not_found_is_no_name():
    assert evidence(Foot(parts=(MarkPart("", absent=True), MarkPart("WEDGWOOD", absent=True)))) == []
    assert evidence(Foot()) == [] and known_maker(Foot()) is None


def test_descriptions_are_read_too():
    mark = MarkPart("printed mark of Burgess & Leigh, a beehive", lettering=False)
    assert rules(evidence(Foot(parts=(mark,)))) == {"BURGESS-LEIGH"}


def test_two_firms_of_one_name_are_told_apart():
    assert known_maker(foot("WEDGWOOD & CO. / ENGLAND")) == "Wedgwood & Co"
    assert known_maker(foot("JOSIAH WEDGWOOD & SONS LTD")) == "Wedgwood"
    assert known_maker(foot("ENOCH WEDGWOOD (TUNSTALL) LTD")) == "Enoch Wedgwood (Tunstall)"
    assert known_maker(foot("SCHUMANN / ARZBERG / GERMANY")) == "Carl Schumann, Arzberg"
    assert known_maker(foot("R.R.P. CO. / ROSEVILLE, OHIO / U.S.A.")) == "Robinson Ransbottom"


def test_a_shop_is_not_taken_for_the_maker_nor_for_a_country():
    sold = foot("GRINDLEY / ENGLAND", "MARSHALL FIELD & CO / CHICAGO")
    assert known_maker(sold) == "Grindley"
    assert maker_countries(sold) == {"England": 1}
    assert rules(evidence(sold)) == {"GRINDLEY", "MARSHALL-FIELD"}


def test_a_firm_without_years_still_names_maker_and_country():
    mark = foot("DE PORCELEYNE FLES / DELFT")
    assert evidence(mark) == []
    assert (known_maker(mark), maker_countries(mark)) == ("De Porceleyne Fles", {"Netherlands": 1})


@given(st.text(max_size=80))
def test_any_text_is_read_without_complaint(text):
    for item in evidence(foot(text, maker=text)):
        height = item.likelihood(YEARS)
        assert np.all((height >= item.floor) & (height <= 1.0))


@given(st.permutations(["RIDGWAYS", "ENGLAND", "HORNSEA POTTERY", "RD 417"]))
def test_order_of_the_parts_changes_nothing(texts):
    plain = {(item.rule, item.speaks_of) for item in evidence(foot("RIDGWAYS", "ENGLAND", "HORNSEA POTTERY", "RD 417"))}
    assert {(item.rule, item.speaks_of) for item in evidence(foot(*texts))} == plain


def test_no_pattern_runs_away():
    for line in LINES:
        assert not re.search(r"\*|\+|\{\d+,\}", line["pattern"].replace(r"\w*", "")), line["id"]
    long = foot(" ".join(["and co", "haviland", "a"] * 200))
    assert timeit.timeit(lambda: evidence(long), number=1) < 0.5
