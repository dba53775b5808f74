"""Bags against the rules of RFC 8493 (sections as remembered), and against what GNU coreutils makes of a manifest."""

import hashlib
import shutil
import subprocess

import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.standards.bagit import BagFaults, _decoded, _encoded, verify_bag, write_bag
from footring.terms.errors import BadInput

PAYLOAD = {"plate.txt": b"Ormsley", "photos/a b.jpg": b"\xff\xd8", "photos/50%.txt": b"", "caf\u00e9.txt": b"x" * 5000}


@pytest.fixture
def bag(tmp_path):
    for name, data in PAYLOAD.items():
        file = tmp_path / "bag" / "data" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    write_bag(tmp_path / "bag", {"Bagging-Date": "2026-11-28", "Source-Organization": "Ossel Ford Society"})
    return tmp_path / "bag"


def lines(bag, name):
    return (bag / name).read_text("utf-8").splitlines()


def test_the_declaration_is_two_lines(bag):
    """Section 2.1.1."""
    assert (bag / "bagit.txt").read_bytes() == b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"


def test_every_file_of_the_payload_is_listed_once_with_its_sum(bag):
    """Section 2.1.3: sum, white space, path from the bag with slashes; the per cent sign spelled out."""
    listed = dict(line.split("  ", 1)[::-1] for line in lines(bag, "manifest-sha256.txt"))
    assert listed == {
        f"data/{name}".replace("%", "%25"): hashlib.sha256(data).hexdigest() for name, data in PAYLOAD.items()
    }


def test_every_tag_file_is_listed_but_the_list_itself(bag):
    """Section 2.2.1."""
    names = {line.split("  ", 1)[1] for line in lines(bag, "tagmanifest-sha256.txt")}
    assert names == {path.name for path in bag.iterdir() if path.is_file()} - {"tagmanifest-sha256.txt"}


def test_payload_oxum_is_bytes_and_files(bag):
    """Section 2.2.2."""
    assert f"Payload-Oxum: {sum(map(len, PAYLOAD.values()))}.{len(PAYLOAD)}" in lines(bag, "bag-info.txt")
    assert verify_bag(bag).info["Source-Organization"] == "Ossel Ford Society"


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum of GNU coreutils is not here")
@pytest.mark.parametrize("name", ["manifest-sha256.txt", "tagmanifest-sha256.txt"])
def test_another_program_finds_the_same_sums(bag, name):
    (bag / "data/photos/50%.txt").rename(bag / "data/photos/50%25.txt")  # it knows nothing of spelled-out signs
    done = subprocess.run(["sha256sum", "--check", "--strict", name], cwd=bag, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


@given(st.text(alphabet=st.sampled_from("a%25 0AaDd\n\r/é"), min_size=1))
def test_paths_come_back_as_they_were(path):
    assert _decoded(_encoded(path)) == path and "\n" not in _encoded(path) and "\r" not in _encoded(path)


def change(name, data):
    return lambda bag: (bag / name).write_bytes(data)


def add(name, line):
    return lambda bag: (bag / name).write_text((bag / name).read_text("utf-8") + line + "\n", "utf-8")


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (change("data/plate.txt", b"Ormsly!"), "data/plate.txt: changed, its sum is not the one in manifest-sha256.txt"),
        (lambda bag: (bag / "data/plate.txt").unlink(), "data/plate.txt: missing, though manifest-sha256.txt lists it"),
        (change("data/more.txt", b""), "data/more.txt: stands in data and not in manifest-sha256.txt"),
        (change("bag-info.txt", b"Bagging-Date: 1999-01-01\n"), "bag-info.txt: changed, its sum is not the one in tagm"),
        (change("bagit.txt", b"BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n"), "version 0.97"),
        (change("bagit.txt", b"hello"), "bagit.txt: expected two lines"),
        (change("fetch.txt", b"https://plates.example/a 1 data/a\n"), "fetch.txt: parts of this bag are elsewhere"),
        (lambda bag: (bag / "manifest-sha256.txt").unlink(), "manifest-sha256.txt: missing"),
        (change("manifest-sha3.txt", b""), "manifest-sha3.txt: expected one of md5"),
        (add("manifest-sha256.txt", "nonsense"), "manifest-sha256.txt: line 5 is no sum and path"),
        (add("manifest-sha256.txt", "00  ../../etc/passwd"), "'../../etc/passwd' leads out of the bag"),
        (add("manifest-sha256.txt", "00  data/../../x"), "'data/../../x' leads out of the bag"),
        (add("manifest-sha256.txt", "00  /etc/passwd"), "'/etc/passwd' leads out of the bag"),
        (add("manifest-sha256.txt", "00  C:/x"), "'C:/x' leads out of the bag"),
        (add("manifest-sha256.txt", "00  bagit.txt"), "is not in data"),
        (add("manifest-sha256.txt", "00  data/plate.txt"), "data/plate.txt stands twice"),
        (change("manifest-sha512.txt", b""), "stands in data and not in manifest-sha512.txt"),
        (lambda bag: shutil.rmtree(bag / "data"), "data: the folder of the payload is missing"),
    ],
)  # fmt: skip
def test_a_damaged_bag_is_refused_and_says_which_file(bag, spoil, told):
    """Sections 3 (complete, valid) and 5.1 (paths)."""
    spoil(bag)
    with pytest.raises(BagFaults, match="the bag is damaged") as found:
        verify_bag(bag)
    assert any(told in fault for fault in found.value.faults), found.value.faults


def test_a_link_in_the_payload_is_not_followed(bag, tmp_path):
    (tmp_path / "outside").write_bytes(b"Ormsley")
    (bag / "data/plate.txt").unlink()
    (bag / "data/plate.txt").symlink_to(tmp_path / "outside")
    with pytest.raises(BagFaults, match=r"data/plate\.txt: is a link"):
        verify_bag(bag)


def test_a_bag_of_another_program_is_read(tmp_path):
    """Sections 2.1.3, 2.2.2, 2.4: other sums, an asterisk, capital sums, lines that go on, CR LF."""
    (tmp_path / "data").mkdir()
    (tmp_path / "data/a").write_bytes(b"x")
    (tmp_path / "bagit.txt").write_bytes(b"BagIt-Version: 1.0\r\nTag-File-Character-Encoding: UTF-8\r\n")
    (tmp_path / "bag-info.txt").write_bytes(b"External-Description: two\r\n  lines\r\nPayload-Oxum: 1.1\r\n")
    for name in ("md5", "sha512"):
        (tmp_path / f"manifest-{name}.txt").write_text(f"{hashlib.new(name, b'x').hexdigest().upper()} *data/a\r\n")
    found = verify_bag(tmp_path)
    assert (found.algorithm, found.info["External-Description"]) == ("sha512", "two lines")


def test_what_is_no_bag_and_what_cannot_stand_in_one_is_told(tmp_path):
    with pytest.raises(BadInput, match=r"is no bag: expected a folder with bagit\.txt"):
        verify_bag(tmp_path)
    (tmp_path / "data").mkdir()
    with pytest.raises(BadInput, match="a label without a colon and a value in one line"):
        write_bag(tmp_path, {"Source": "two\nlines"})


def test_all_faults_are_told_together_and_many_are_counted(bag):
    for i in range(15):
        (bag / f"data/{i}").write_bytes(b"")
    with pytest.raises(BagFaults, match=r"and \d+ more") as found:
        verify_bag(bag)
    assert len(found.value.faults) == 16
