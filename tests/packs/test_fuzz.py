"""Two thousand packs with something changed: nothing but faults comes of them, and nothing wrong is taken for right."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from footring.packs import Pack, PackFaults, load_pack, read_pack
from footring.packs.descriptor import descriptor_text
from footring.packs.write import csv_bytes
from footring.rows import TABLES, RowTable

from .test_workbook_bombs import with_shared_texts
from .test_workbooks import changed, ods, xlsx

PACK = {
    "sources": "id,name,kind,published\nq.list,Price list,price list,1934-03\n",
    "makers": 'id,name,town,active,private\nq.m,"Quillow, ""Tarn""",Ossel Ford,1904/1968,false\nq.n,"a\nb",,[1936..1939~],true\n',
    "lines": "id,maker,name\nq.ormsley,q.m,Ormsley\nq.wherry,q.m,Wherry\n",
    "forms": "id,line,name,designed\nq.dish,q.ormsley,Dish,1911\nq.cup,q.wherry,Cup,1932~\n",
    "sizes": "id,form,trade_size,across_mm,capacity_ml\nq.s1,q.dish,8 in,202.5,1700\nq.s2,q.cup,,88,\n",
    "glazes": "id,name,effect,lab_lightness\nq.g,Mottled blue,mottled,46.2\n",
    "decorations": "id,name,technique,over_glaze\nq.heron,Reed Heron,transfer,false\n",
    "numbers": "id,line,code,glaze,decoration,source,supersedes\nq.n1,q.ormsley,417,,q.heron,q.list,\nq.n2,q.wherry,3/417,q.g,q.heron,,\nq.n3,q.ormsley,'=402,,q.heron,,q.n1\n",
    "claims": "id,subject_table,subject,property,value,source,firmness,stance,handled\nq.c,numbers,q.n1,decoration,q.heron,q.list,printed,for,14\n",
}
DESCRIPTOR = descriptor_text(PACK, {"name": "fuzz"})
FRAGMENTS = [
    b'"', b'""', b",", b"\n", b"\r", b"\r\n", b"\0", b"\xff", b"\xef\xbb\xbf", b"=1+1", b"-", b"'", b"1e999", b"nan", b"true",
    b"1927-02-30", b"q.m", b"q.n1", b"x" * 300, "é".encode(), b"\x1a", b"\xed\xa0\x80", b"id", b"private", b"2000", b" ", b"\t",
]  # fmt: skip


def packed(tables: dict[str, bytes], descriptor: str | bytes | None = DESCRIPTOR) -> io.BytesIO:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        for name, data in tables.items():
            archive.writestr(f"{name}.csv", data)
        if descriptor is not None:
            archive.writestr("datapackage.json", descriptor)
    return file


BYTES = {name: text.encode() for name, text in PACK.items()}


def test_the_pack_itself_has_no_fault() -> None:
    assert read_pack(packed(BYTES))[1] == []


def judged(file: io.BytesIO) -> Pack | None:
    """The pack, if it is accepted: then it must come back when written."""
    pack, faults = read_pack(file)
    if faults:
        assert PackFaults("x", faults).faults and all(str(fault) for fault in faults)
        return None
    again = packed({name: b"".join(csv_bytes(table)) for name, table in pack.tables.items()}, None)
    assert load_pack(again).tables == pack.tables
    return pack


@st.composite
def edits(draw: Any, data: bytes) -> bytes:
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, len(data)))
        until = min(len(data), at + draw(st.sampled_from([0, 0, 1, 2, 5, 40])))
        data = data[:at] + draw(st.sampled_from([b"", *FRAGMENTS]) | st.binary(max_size=3)) + data[until:]
    return data


def held(data: bytes, spec: Any) -> list[dict[str, str]]:
    """The rows of a CSV by the standard library's reader alone."""
    return [row for row in csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")) if any(row.values())]


def same(value: object, text: str) -> bool:
    """Whether a value is what a text says, by the plainest reading."""
    if value is None:
        return text == ""
    if isinstance(value, bool):
        return text.lower() in (("true", "1") if value else ("false", "0", ""))
    if isinstance(value, int | float):
        return float(text) == value
    return value in (text, text[1:])


@settings(max_examples=1200)
@given(st.sampled_from(sorted(PACK)).flatmap(lambda name: st.tuples(st.just(name), edits(BYTES[name]))))
@example(("makers", b"id,name\rq.m,A\r"))
@example(("makers", b'id,name\nq.m,"A'))
@example(("makers", b"\n" + BYTES["makers"]))
@example(("glazes", b"\xef\xbb\xbf\xef\xbb\xbf" + BYTES["glazes"]))
def test_changed_bytes_of_a_table(change) -> None:
    name, data = change
    if pack := judged(packed(BYTES | {name: data}, None)):
        table = pack.tables[name]
        rows = held(data, TABLES[name])
        assert len(table) == len(rows)
        for row, given_row in zip(table.rows(), rows, strict=True):
            assert all(same(getattr(row, column), text) for column, text in given_row.items())


IMPOSSIBLE = {
    ("makers", "active"): [
        "1904/1938-02-30",
        "1938-13",
        "soon",
        "1968/1904",
        "1938-02-29",
        "12/05/1938",
        "[1936..1939]~",
    ],
    ("makers", "private"): ["yes", "2", "tru", "falsch", " true"],
    ("makers", "name"): ["", "=1+1", "@x", "+x", "-x", "\t"],
    ("lines", "maker"): ["", "q.mm", "Q.M", "q.ormsley", "q.m ", "=q.m"],
    ("sizes", "across_mm"): [
        "1000",
        "0",
        "-3",
        "1e3",
        "20,5",
        "8 in",
        "nan",
        "inf",
        "1_0",
        "٣",
        "0x10",
        "1e400",
        "--1",
    ],
    ("sizes", "capacity_ml"): ["-1", "1.700,0", "12 ml", "+-1", "."],
    ("glazes", "effect"): ["Mottled", "spotted", " mottled", "mottled,"],
    ("glazes", "lab_lightness"): ["100.1", "-0.1", "fifty"],
    ("numbers", "supersedes"): ["q.n9", "q.n3", "q.ormsley"],
    ("numbers", "decoration"): ["q.g", "heron", "q.hero"],
    ("claims", "subject_table"): ["number", "", "q.n1", "Numbers"],
    ("claims", "subject"): ["q.n9", "", "q.heron"],
    ("claims", "firmness"): ["sure", "seen, printed", ""],
    ("claims", "handled"): ["14.5", "-1", "9e99", "99999999999999999999", "fourteen"],
    ("forms", "designed"): ["1911-00", "191", "19111", "1911-06-31", "-0044", "1911T10:00"],
}


@st.composite
def impossible_cells(draw: Any) -> tuple[str, str, int, str]:
    table, column = draw(st.sampled_from(sorted(IMPOSSIBLE)))
    rows = list(csv.DictReader(io.StringIO(PACK[table])))
    row = len(rows) - 1 if column == "supersedes" else draw(st.integers(0, len(rows) - 1))
    return table, column, row, draw(st.sampled_from(IMPOSSIBLE[table, column]))


@settings(max_examples=500)
@given(impossible_cells())
def test_an_impossible_value_is_found_at_its_place(cell) -> None:
    table, column, i, value = cell
    rows = list(csv.DictReader(io.StringIO(PACK[table])))
    rows[i][column] = value
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    _, faults = read_pack(packed(BYTES | {table: out.getvalue().encode()}, None))
    line = 2 + sum(1 + sum(text.count("\n") for text in row.values()) for row in rows[:i])
    number = 1 + list(rows[0]).index(column)
    beside = {"subject_table": number + 1}.get(column, number)
    at = {(fault.file, fault.line, fault.column) for fault in faults}
    if (column, value) == ("supersedes", "q.n3"):  # a circle of one is told at the row itself
        assert "superseding circle" in {fault.kind for fault in faults}
    assert at & {(f"{table}.csv", line, number), (f"{table}.csv", line, beside)}


JSON = json.loads(DESCRIPTOR)
LEAVES = (
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False)
    | st.sampled_from(["makers.csv", "../x.csv", "/etc/passwd", "C:\\x.csv", "makers", "a/b/c.csv", "", "http://x/y.csv", "lines.csv"])
    | st.text(max_size=5)
)  # fmt: skip
VALUES = st.recursive(
    LEAVES, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
)


@st.composite
def descriptors(draw: Any) -> str:
    found = json.loads(DESCRIPTOR)
    place: Any = found
    key: Any = draw(st.sampled_from(sorted(found)))
    while isinstance(place[key], dict | list) and place[key] and draw(st.integers(0, 4)):
        place = place[key]
        key = draw(st.sampled_from(sorted(place))) if isinstance(place, dict) else draw(st.integers(0, len(place) - 1))
    if draw(st.booleans()):
        place[key] = draw(VALUES)
    else:
        del place[key]
    return json.dumps(found)


@settings(max_examples=350)
@given(descriptors() | edits(DESCRIPTOR.encode()))
@example('{"resources": [{"name": "makers", "path": ["makers.csv", "lines.csv"]}]}')
@example('{"resources": [{"name": {}, "path": []}], "profile": []}')
def test_changed_descriptors(text) -> None:
    if pack := judged(packed(BYTES, text)):
        assert set(pack.tables) == set(PACK)


SMALL = packed({name: BYTES[name] for name in ("makers", "lines")}, None).getvalue()


@settings(max_examples=250)
@given(edits(SMALL) | st.binary(max_size=200))
@example(SMALL[1:])  # the list of contents points before the beginning
@example(SMALL.replace(b"\0\0\0\0makers.csv", b"\0\0\x80\xffmakers.csv"))
def test_changed_bytes_of_a_zip(data) -> None:
    judged(io.BytesIO(data))


BOOKS = [
    make(**{name: list(csv.reader(io.StringIO(PACK[name]))) for name in ("makers", "lines")}) for make in (xlsx, ods)
]
BOOKS.append(with_shared_texts(xlsx(makers=list(csv.reader(io.StringIO(PACK["makers"]))))))
PARTS = [
    (book, part) for book in BOOKS for part in zipfile.ZipFile(book).namelist() if part.endswith((".xml", ".rels"))
]


@settings(max_examples=300)
@given(st.sampled_from(range(len(PARTS))), st.data())
def test_changed_parts_of_a_workbook(which, draw) -> None:
    book, part = PARTS[which]
    old = zipfile.ZipFile(book).read(part).decode()
    new = draw.draw(edits(old.encode())).decode("utf-8", "replace")
    judged(changed(book, part, old, new))


def test_books_are_read() -> None:
    for book in BOOKS:
        assert isinstance(load_pack(book).tables["makers"], RowTable)
