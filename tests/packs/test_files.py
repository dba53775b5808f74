"""Packs that would leave their folder, fill the disk or the memory: refused with a sentence, before anything is unpacked."""

from __future__ import annotations

import io
import os
import stat
import struct
import zipfile

import pytest

from footring.packs import Limits, PackFaults, check_pack, load_pack
from footring.terms.errors import BadInput

MAKERS = "id,name\na,A\n"


def zipped(*entries: tuple[str | zipfile.ZipInfo, str | bytes], method: int = zipfile.ZIP_DEFLATED) -> io.BytesIO:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", method) as archive:
        for entry, data in entries:
            archive.writestr(entry, data)
    return file


def said(file: io.BytesIO, **limits: int) -> list[str]:
    return [str(fault) for fault in check_pack(file, limits=Limits(**limits))]


def test_a_zip_and_a_zip_with_a_folder_around_it_are_read() -> None:
    assert said(zipped(("makers.csv", MAKERS))) == []
    litter = ("__MACOSX/mine/._makers.csv", "x"), ("mine/.DS_Store", "x")
    assert said(zipped(("mine/makers.csv", MAKERS), ("mine/README.md", "hello"), *litter)) == []
    assert load_pack(zipped(("mine/makers.csv", MAKERS))).tables["makers"].row(0).name == "A"


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("../makers.csv", "it climbs out of the pack with .."),
        ("a/../../makers.csv", "it climbs out of the pack with .."),
        ("/makers.csv", "it does not start inside the pack"),
        ("~/makers.csv", "it does not start inside the pack"),
        ("C:makers.csv", "it names a drive"),
        ("a\\makers.csv", "it holds a backslash"),
        ("file:makers.csv", "it is an address, and packs are never fetched"),
        ("a/./makers.csv", "it holds an empty step"),
        ("a//makers.csv", "it holds an empty step"),
        ("ma\x07kers.csv", "it holds a control character"),
    ],
)
def test_a_path_that_leaves_the_pack(name, why) -> None:
    shown = ascii(name)[1:-1]
    assert said(zipped(("lines.csv", "id,maker,name\n"), (name, MAKERS))) == [
        f"{shown}: outside the pack: expected a path inside the pack ({why}); name it by its place in the pack"
    ]


def test_a_name_cut_by_a_nul_is_judged_whole() -> None:
    data = zipped(("makers.csv_______x", MAKERS)).getvalue().replace(b"makers.csv_______x", b"makers.csv\0/../../x")
    assert "outside the pack" in said(io.BytesIO(data.replace(b"makers.csv\0/../../x", b"makers.csv\0/../..x")))[0]


def test_an_entry_without_a_name() -> None:
    data = bytearray(zipped(("x", MAKERS)).getvalue())
    place = zipfile.ZipFile(io.BytesIO(bytes(data))).start_dir
    data[place + 28 : place + 30] = b"\0\0"
    data[place + 30 : place + 32] = b"\1\0"  # the one letter of the name becomes an extra field
    data[26:28], data[28:30] = b"\0\0", b"\1\0"
    (fault,) = said(io.BytesIO(bytes(data)))
    assert fault.startswith("(no name): outside the pack: expected a path inside the pack (it is empty)")


def test_bombs() -> None:
    big = zipped(("makers.csv", b"id,name\n" + b"a" * 30_000_000))
    assert said(big) == [
        "makers.csv: unpacks to far more than it holds: expected at most 200 times its packed size; it may be meant to fill the disk"
    ]
    assert said(zipped(("makers.csv", MAKERS)), file_bytes=5) == [
        "makers.csv: too large: expected at most 5 bytes; split the pack"
    ]
    many = zipped(*((f"a{i}.txt", "") for i in range(501)), ("makers.csv", MAKERS))
    assert said(many) == [
        "(the zip): too many files: given 502 files; expected at most 500; it may be meant to fill the disk"
    ]
    two = zipped(("makers.csv", MAKERS), ("lines.csv", "id,maker,name\n"))
    assert said(two, total_bytes=20) == [
        "(the zip): too large unpacked: given 26 bytes; expected at most 20 bytes; it may be meant to fill the disk"
    ]


def test_a_list_of_contents_without_end() -> None:
    """Two million names that lead nowhere: reading them all would take a gigabyte."""
    entry = struct.pack("<4s4B4H3L5H2LB", b"PK\1\2", 20, 3, 20, *[0] * 7, 0, 1, *[0] * 6, ord("a"))
    size = 2_000_000 * len(entry)
    end = struct.pack("<4s4H2LH", b"PK\5\6", 0, 0, 65535, 65535, size, 0, 0)
    assert said(io.BytesIO(entry * 2_000_000 + end)) == [
        (
            "(the zip): too many files: given 94,000,000 bytes that list them; expected at most 1,048,576 bytes; "
            "it may be meant to fill the disk"
        )
    ]


def test_a_size_that_lies_is_not_believed() -> None:
    """The list of contents says 12 bytes where 30 million follow: no more than 12 are unpacked."""
    file = zipped(("makers.csv", MAKERS + "b" * 30_000_000))
    archive = zipfile.ZipFile(file)
    place = archive.start_dir
    data = bytearray(file.getvalue())
    data[place + 24 : place + 28] = struct.pack("<I", 12)
    (fault,) = said(io.BytesIO(bytes(data)))
    assert fault.startswith("makers.csv: a file that cannot be read: given Bad CRC-32")


@pytest.mark.parametrize("inside", ["more.zip", "book.XLSX", "a/b.tar.gz", "c.7z"])
def test_packed_files_inside(inside) -> None:
    (fault,) = said(zipped(("makers.csv", MAKERS), (inside, b"PK")))
    assert fault == f"{inside}: a packed file inside the pack: expected CSV files; take it out"


def test_an_encrypted_entry() -> None:
    data = bytearray(zipped(("makers.csv", MAKERS)).getvalue())
    data[6] |= 1
    data[zipfile.ZipFile(io.BytesIO(bytes(data))).start_dir + 8] |= 1
    assert said(io.BytesIO(bytes(data))) == [
        "makers.csv: encrypted: expected a zip without a password; zip it again without a password"
    ]


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_other_packing(method) -> None:
    (fault,) = said(zipped(("makers.csv", MAKERS), method=method))
    assert fault == "makers.csv: packed in an unknown way: expected stored or deflated; zip it again"


def test_a_link_in_a_zip() -> None:
    link = zipfile.ZipInfo("makers.csv")
    link.create_system, link.external_attr = 3, (stat.S_IFLNK | 0o777) << 16
    assert said(zipped((link, "/etc/passwd"))) == [
        "makers.csv: a link: expected a plain file; put the file itself into the pack"
    ]


def test_one_name_twice() -> None:
    with pytest.warns(UserWarning, match="Duplicate name"):
        file = zipped(("makers.csv", MAKERS), ("makers.csv", "id,name\n"))
    assert said(file) == ["makers.csv: the same file twice: expected each name once, letter case aside"]
    assert "the same file twice" in said(zipped(("makers.csv", MAKERS), ("Makers.csv", "id,name\n")))[0]
    assert said(zipped(("a/makers.csv", MAKERS), ("b/makers.csv", MAKERS))) == [
        "b/makers.csv: the same table twice: given a/makers.csv too; take one out"
    ]


def test_a_damaged_zip() -> None:
    whole = zipped(("makers.csv", MAKERS + "b" * 1000), method=zipfile.ZIP_STORED).getvalue()
    damaged = io.BytesIO(whole.replace(b"bbbb", b"bbXb", 1))
    (fault,) = said(damaged)
    assert fault.startswith("makers.csv: a file that cannot be read: given Bad CRC-32")
    for cut in (b"", b"PK", whole[:40], whole[:-30], b"hello"):
        (fault,) = said(io.BytesIO(cut))
        assert fault.startswith("(the pack): not a pack: given File is not a zip file; expected a folder, a zip, or")


# ---- folders


def test_links_in_a_folder_are_not_followed(tmp_path) -> None:
    (tmp_path / "outside.csv").write_text(MAKERS)
    (tmp_path / "pack").mkdir()
    (tmp_path / "pack" / "makers.csv").symlink_to(tmp_path / "outside.csv")
    (tmp_path / "pack" / "more").symlink_to(tmp_path)
    assert [str(fault) for fault in check_pack(tmp_path / "pack")] == [
        "more: a link: expected a plain file; put the file itself into the pack",
        "makers.csv: a link: expected a plain file; put the file itself into the pack",
    ]


def test_the_folder_itself_may_be_a_link(tmp_path) -> None:
    (tmp_path / "pack").mkdir()
    (tmp_path / "pack" / "makers.csv").write_text(MAKERS)
    (tmp_path / "to").symlink_to(tmp_path / "pack")
    assert check_pack(tmp_path / "to") == []


def test_a_pipe_does_not_hang(tmp_path) -> None:
    os.mkfifo(tmp_path / "makers.csv")
    assert [str(fault) for fault in check_pack(tmp_path)] == [
        "makers.csv: not a plain file: expected a plain file; take it out of the pack"
    ]


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is unreadable to root")
def test_a_file_that_may_not_be_read(tmp_path) -> None:
    (tmp_path / "makers.csv").write_text(MAKERS)
    (tmp_path / "makers.csv").chmod(0)
    (fault,) = check_pack(tmp_path)
    assert "a file that cannot be read" in str(fault)


def test_other_files_of_a_folder_are_let_be(tmp_path) -> None:
    (tmp_path / "makers.csv").write_text(MAKERS)
    (tmp_path / "README.md").write_text("x")
    (tmp_path / ".git").mkdir()
    (tmp_path / ".git" / "strange.csv").write_text("x")
    assert check_pack(tmp_path) == []


def test_a_whole_disk_is_no_pack(tmp_path) -> None:
    for i in range(4):
        (tmp_path / f"photo-{i}.jpg").touch()
    (tmp_path / "makers.csv").write_text(MAKERS)
    assert check_pack(tmp_path, limits=Limits(folder_files=5)) == []
    assert [str(fault) for fault in check_pack(tmp_path, limits=Limits(folder_files=4))] == [
        "(the folder): too many files: expected at most 4 files; give the folder that holds the tables"
    ]


def test_a_single_table_is_no_pack(tmp_path) -> None:
    (tmp_path / "makers.csv").write_text(MAKERS)
    with pytest.raises(PackFaults, match=r"makers\.csv: a single table: expected a pack; put it into a folder"):
        load_pack(tmp_path / "makers.csv")


def test_nothing_there(tmp_path) -> None:
    with pytest.raises(BadInput, match="nowhere: no such file or folder; expected a pack"):
        load_pack(tmp_path / "nowhere")
    with pytest.raises(BadInput, match="no such file or folder"):
        load_pack("a\0b")
