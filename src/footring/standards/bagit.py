"""Bags: folders with a checksum for every file. BagIt 1.0, RFC 8493 (October 2018)."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from footring.terms.errors import BadInput

DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
ALGORITHMS = ("md5", "sha1", "sha256", "sha512")
"""Those that RFC 8493, section 2.4, names. Bags that are written here have SHA-256."""
MOST_TOLD = 10
_DECLARED = re.compile(r"BagIt-Version: (?P<version>[0-9]+\.[0-9]+)\nTag-File-Character-Encoding: (?P<encoding>\S+)\n?")
_MANIFEST = re.compile(r"(?:tag)?manifest-(?P<algorithm>[a-z0-9]+)\.txt")
_LISTED = re.compile(r"(?P<sum>[0-9A-Fa-f]+)[ \t]+\*?(?P<path>\S.*)")
_SIGNS = {"%": "%25", "\n": "%0A", "\r": "%0D"}


class BagFaults(BadInput):
    """Everything wrong with a bag, raised together.

    Parameters
    ----------
    faults : list of str
        A sentence each, beginning with the file it is about; at least one.
    """

    def __init__(self, faults: list[str]) -> None:
        self.faults = faults
        more = [f"and {len(faults) - MOST_TOLD} more"] if len(faults) > MOST_TOLD else []
        super().__init__(f"the bag is damaged: {'; '.join([*faults[:MOST_TOLD], *more])}")


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag that was found complete and valid.

    Parameters
    ----------
    path : Path
    info : mapping of str to str
        What bag-info.txt says; of a label that stands several times, the last.
    payload : mapping of str to str
        SHA-256 of each file under `data/`, or what else its manifest has, by its path from the bag.
    algorithm : str
        What these sums are.
    """

    path: Path
    info: Mapping[str, str]
    payload: Mapping[str, str]
    algorithm: str


def write_bag(path: Path, info: Mapping[str, str]) -> None:
    """Make a bag of a folder whose `data/` holds the payload: write every tag file.

    Parameters
    ----------
    path : Path
        The folder. `data/` in it may be empty.
    info : mapping of str to str
        For bag-info.txt; `Payload-Oxum` (bytes and files of the payload) is added.

    Raises
    ------
    BadInput
        A label or value that cannot stand in bag-info.txt.

    Notes
    -----
    When *not* to use it: on a payload that somebody still writes to.

    Examples
    --------
    >>> import tempfile
    >>> bag = Path(tempfile.mkdtemp())
    >>> (bag / "data").mkdir()
    >>> _ = (bag / "data" / "plate.txt").write_text("Ormsley")
    >>> write_bag(bag, {"Source-Organization": "Ossel Ford Society"})
    >>> verify_bag(bag).info["Payload-Oxum"]
    '7.1'
    """
    files = sorted(_files(path / "data"))
    size = sum(file.stat().st_size for file in files)
    _write(path / "bagit.txt", DECLARATION)
    lines = [_info_line(label, value) for label, value in {**info, "Payload-Oxum": f"{size}.{len(files)}"}.items()]
    _write(path / "bag-info.txt", "".join(lines))
    _write(path / "manifest-sha256.txt", "".join(_listed(path, file) for file in files))
    tags = [path / name for name in ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")]
    _write(path / "tagmanifest-sha256.txt", "".join(_listed(path, file) for file in tags))


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


def _files(folder: Path) -> Iterator[Path]:
    for inside, folders, names in os.walk(folder, followlinks=False):
        linked = [name for name in folders if (Path(inside) / name).is_symlink()]
        yield from (Path(inside) / name for name in [*linked, *names])


def _listed(bag: Path, file: Path) -> str:
    return f"{_sum(file, 'sha256')}  {_encoded(file.relative_to(bag).as_posix())}\n"


def _sum(file: Path, algorithm: str) -> str:
    with file.open("rb") as opened:
        return hashlib.file_digest(opened, lambda: hashlib.new(algorithm, usedforsecurity=False)).hexdigest()


def _encoded(path: str) -> str:
    """A path as a manifest holds it: line ends and the per cent sign spelled out (section 2.1.3)."""
    return "".join(_SIGNS.get(sign, sign) for sign in path)


def _decoded(path: str) -> str:
    signs = {code: sign for sign, code in _SIGNS.items()}
    return re.sub("%(?:25|0[AaDd])", lambda found: signs[found[0].upper()], path)


def _info_line(label: str, value: str) -> str:
    if not label or ":" in label or label != label.strip() or "\n" in label + value or "\r" in label + value:
        raise BadInput(f"bag-info {label!r}: expected a label without a colon and a value in one line")
    return f"{label}: {value}\n"


def verify_bag(path: Path) -> Bag:
    """See that a bag is complete and valid (RFC 8493, section 3): every file that is listed, and no other payload.

    Parameters
    ----------
    path : Path
        The bag's folder.

    Returns
    -------
    Bag

    Raises
    ------
    BagFaults
        All that is wrong, each with the file it is about. A bag with parts to be fetched from elsewhere is refused.
    BadInput
        It is no bag at all.
    """
    if not (path / "bagit.txt").is_file():
        raise BadInput(f"{path} is no bag: expected a folder with bagit.txt in it")
    faults = list(_declaration(path))
    if (path / "fetch.txt").exists():
        faults.append("fetch.txt: parts of this bag are elsewhere, and nothing is fetched; fill it first")
    if not (path / "data").is_dir():
        faults.append("data: the folder of the payload is missing")
    manifests = {file.name: _read_manifest(file, faults) for file in sorted(path.glob("*manifest-*.txt"))}
    payload = {name: listed for name, listed in manifests.items() if not name.startswith("tag")}
    if not payload:
        faults.append("manifest-sha256.txt: missing; a bag has a manifest of its payload")
    present = {file.relative_to(path).as_posix(): file for file in _files(path / "data")}
    for name, listed in manifests.items():
        faults += _against(path, name, listed)
    for name, listed in payload.items():
        faults += [f"{file}: stands in data and not in {name}" for file in sorted(set(present) - set(listed))]
    info = _read_info(path / "bag-info.txt", faults)
    faults += _oxum(info, present)
    if faults:
        raise BagFaults(faults)
    best = max(payload, key=lambda name: ALGORITHMS.index(_algorithm(name)))
    return Bag(path, info, payload[best], _algorithm(best))


def _declaration(path: Path) -> Iterator[str]:
    text = _text(path / "bagit.txt")
    found = _DECLARED.fullmatch(text)
    if found is None:
        yield "bagit.txt: expected two lines, BagIt-Version: 1.0 and Tag-File-Character-Encoding: UTF-8"
    elif (found["version"], found["encoding"].upper()) != ("1.0", "UTF-8"):
        yield f"bagit.txt: version {found['version']} in {found['encoding']}, expected 1.0 in UTF-8"


def _text(file: Path) -> str:
    return file.read_bytes().decode("utf-8", "replace").replace("\r\n", "\n").replace("\r", "\n")


def _algorithm(name: str) -> str:
    found = _MANIFEST.fullmatch(name)
    return found["algorithm"] if found else ""


def _read_manifest(file: Path, faults: list[str]) -> dict[str, str]:
    """The sums of a manifest by path; what cannot be read, or must not be followed, goes to the faults."""
    if _algorithm(file.name) not in ALGORITHMS:
        faults.append(f"{file.name}: expected one of {', '.join(ALGORITHMS)}; it cannot be checked")
        return {}
    listed: dict[str, str] = {}
    for number, line in enumerate(filter(None, _text(file).split("\n")), 1):
        found = _LISTED.fullmatch(line)
        name = _decoded(found["path"]) if found else ""
        if found is None:
            faults.append(f"{file.name}: line {number} is no sum and path")
        elif why := _why_not(name, file.name):
            faults.append(f"{file.name}: {name!r} {why}")
        elif name in listed:
            faults.append(f"{file.name}: {name} stands twice")
        else:
            listed[name] = found["sum"].lower()
    return listed


def _why_not(name: str, manifest: str) -> str:
    """Why a path in a manifest is not followed (section 5.1); empty where it is."""
    parts = name.replace("\\", "/").split("/")
    if name.startswith(("/", "~", "\\")) or ".." in parts or re.match("[A-Za-z]:", name):
        return "leads out of the bag"
    if not manifest.startswith("tag") and parts[0] != "data":
        return "is not in data"
    return "is a manifest of tags itself" if manifest.startswith("tag") and name.startswith("tagmanifest-") else ""


def _against(bag: Path, manifest: str, listed: Mapping[str, str]) -> Iterator[str]:
    for name, wanted in listed.items():
        file = bag / name
        if any(one.is_symlink() for one in (file, *file.parents) if one != bag and bag in one.parents):
            yield f"{name}: is a link, expected a file"
        elif not file.is_file():
            yield f"{name}: missing, though {manifest} lists it"
        elif _sum(file, _algorithm(manifest)) != wanted:
            yield f"{name}: changed, its sum is not the one in {manifest}"


def _read_info(file: Path, faults: list[str]) -> dict[str, str]:
    """Labels and values; a line that begins with a space goes on with the one before (section 2.2.2)."""
    info, label = dict[str, str](), ""
    for number, line in enumerate(filter(None, _text(file).split("\n")) if file.is_file() else (), 1):
        name, colon, value = line.partition(":")
        if line[0] in " \t" and label:
            info[label] += f" {line.strip()}"
        elif colon and name.strip():
            label = name.strip()
            info[label] = value.strip()
        else:
            faults.append(f"bag-info.txt: line {number} is no label and value")
    return info


def _oxum(info: Mapping[str, str], present: Mapping[str, Path]) -> Iterator[str]:
    said = info.get("Payload-Oxum")
    found = f"{sum(file.stat().st_size for file in present.values() if file.is_file())}.{len(present)}"
    if said is not None and said != found:
        yield f"bag-info.txt: Payload-Oxum {said} (bytes.files), but data holds {found}"
