"""The files of a pack, from a folder or from a zip, opened one at a time and never outside it."""

from __future__ import annotations

import os
import stat
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any, BinaryIO, Protocol

from footring.packs.faults import FaultList, PackFault
from footring.packs.limits import Limits
from footring.packs.names import why_outside
from footring.packs.text import Unreadable

DESCRIPTOR = "datapackage.json"
_LITTER = ("__MACOSX/", ".DS_Store", "Thumbs.db")
_PACKED = (".zip", ".7z", ".rar", ".gz", ".bz2", ".xz", ".zst", ".tar", ".tgz", ".xlsx", ".xlsm", ".xlsb", ".ods")
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


class Files(Protocol):
    """What reading a pack needs of the place it lies in."""

    def names(self) -> list[str]:
        """Names of the regular files, sorted, with `/` between folders."""

    def size(self, name: str) -> int:
        """Unpacked size in bytes."""

    def open(self, name: str) -> BinaryIO:
        """The file's bytes."""


class FolderFiles:
    """The files of a folder. Links and anything that is not a plain file are left out, and reported if asked for."""

    def __init__(self, root: Path, faults: FaultList, limits: Limits) -> None:
        self._root = root
        self._sizes: dict[str, int] = {}
        for number, path in enumerate(_walk(root), 1):
            if number > limits.folder_files:
                most, say = f"at most {limits.folder_files:,} files", "give the folder that holds the tables"
                raise Unreadable(PackFault("too many files", "(the folder)", expected=most, suggestion=say))
            name = path.relative_to(root).as_posix()
            held = path.lstat()
            if fault := _bad_file(name, held, limits):
                faults.add(fault)
            elif stat.S_ISREG(held.st_mode):
                self._sizes[name] = held.st_size

    def names(self) -> list[str]:
        """Names of the plain files, sorted."""
        return sorted(self._sizes)

    def size(self, name: str) -> int:
        """Size in bytes."""
        return self._sizes[name]

    def open(self, name: str) -> BinaryIO:
        """The file's bytes; a link put in its place meanwhile is not followed."""
        flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
        return os.fdopen(os.open(self._root / name, flags), "rb")


def _walk(root: Path) -> Iterable[Path]:
    for folder, folders, files in os.walk(root, followlinks=False):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        linked = [name for name in folders if (Path(folder) / name).is_symlink()]
        yield from (Path(folder) / name for name in [*linked, *sorted(files)])


def _bad_file(name: str, held: os.stat_result, limits: Limits) -> PackFault | None:
    if stat.S_ISLNK(held.st_mode):
        return PackFault("a link", name, expected="a plain file", suggestion="put the file itself into the pack")
    wanted = name.endswith((".csv", ".CSV")) or name == DESCRIPTOR
    if wanted and not stat.S_ISREG(held.st_mode):
        return PackFault("not a plain file", name, expected="a plain file", suggestion="take it out of the pack")
    if wanted and held.st_size > limits.file_bytes:
        return _too_large(name, held.st_size, limits.file_bytes)
    return None


def _too_large(name: str, given: int, most: int) -> PackFault:
    return PackFault(
        "too large", name, given=f"{given:,} bytes", expected=f"at most {most:,} bytes", suggestion="split the pack"
    )


class ZipFiles:
    """The files of a zip, every entry checked before any is unpacked.

    A single folder around everything is taken off the names.
    """

    def __init__(self, archive: zipfile.ZipFile, faults: FaultList, limits: Limits) -> None:
        self._archive = archive
        self._entries: dict[str, zipfile.ZipInfo] = {}
        infos = [info for info in entries_of(archive) if not _is_litter(info.filename)]
        for fault in check_entries(infos, limits):
            faults.add(fault)
        around = _folder_around([info.filename for info in infos])
        if not len(faults):
            self._entries = {info.filename.removeprefix(around): info for info in infos}

    def names(self) -> list[str]:
        """Names of the entries, sorted; none when any entry is unfit."""
        return sorted(self._entries)

    def size(self, name: str) -> int:
        """Unpacked size in bytes, as the zip declares and `zipfile` enforces."""
        return self._entries[name].file_size

    def open(self, name: str) -> BinaryIO:
        """The unpacked bytes."""
        return open_entry(self._archive, self._entries[name])


class _Bounded:
    """A file of which no more is read at once than `most` bytes; below 0 for any number."""

    def __init__(self, file: BinaryIO, most: int) -> None:
        self._file, self.most = file, most

    def read(self, count: int = -1) -> bytes:
        if 0 <= self.most < count:
            given, most = f"{count:,} bytes that list them", f"at most {self.most:,} bytes"
            raise Unreadable(_whole("too many files", given, most))
        return self._file.read(count)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._file, name)


def open_zip(file: BinaryIO, limits: Limits) -> zipfile.ZipFile:
    """The zip, opened; `zipfile` reads the whole list of contents, so that may not be endless.

    Raises
    ------
    Unreadable
        It lists far too many files.
    BadZipFile, and others
        It is no zip.
    """
    bounded = _Bounded(file, limits.directory_bytes)
    archive = zipfile.ZipFile(bounded)
    bounded.most = -1
    return archive


def entries_of(archive: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
    """The entries that are no folders."""
    return [info for info in archive.infolist() if not info.filename.endswith("/")]


def open_entry(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> BinaryIO:
    """The unpacked bytes of an entry.

    Raises
    ------
    BadZipFile
        For whatever is amiss with it: a damaged list of contents makes `zipfile` raise many things.
    """
    try:
        return archive.open(entry)  # type: ignore[return-value]
    except (ValueError, NotImplementedError, RuntimeError, KeyError, OverflowError) as error:
        raise zipfile.BadZipFile(f"{entry.filename}: {error}") from error


def _is_litter(name: str) -> bool:
    return name.startswith(_LITTER[0]) or name.rsplit("/", 1)[-1] in _LITTER


def _folder_around(names: list[str]) -> str:
    tops = {name.split("/", 1)[0] for name in names if "/" in name}
    return f"{tops.pop()}/" if len(tops) == 1 and all("/" in name for name in names) else ""


def check_entries(infos: list[zipfile.ZipInfo], limits: Limits, nested: bool = True) -> list[PackFault]:
    """Every reason not to unpack a zip, from its list of contents alone.

    Parameters
    ----------
    infos : list of ZipInfo
        The entries that are files.
    limits : Limits
        Sizes past which it is refused.
    nested : bool
        Whether a packed file inside is a fault.
    """
    found = [fault for info in infos for fault in _check_entry(info, limits, nested)]
    total = sum(info.file_size for info in infos)
    if len(infos) > limits.files:
        found.append(_whole("too many files", f"{len(infos):,} files", f"at most {limits.files:,}"))
    if total > limits.total_bytes:
        found.append(_whole("too large unpacked", f"{total:,} bytes", f"at most {limits.total_bytes:,} bytes"))
    folded: set[str] = set()
    for info in infos:
        if info.filename.casefold() in folded:
            found.append(PackFault("the same file twice", info.filename, expected="each name once, letter case aside"))
        folded.add(info.filename.casefold())
    return found


def _whole(kind: str, given: str, expected: str) -> PackFault:
    return PackFault(kind, "(the zip)", given=given, expected=expected, suggestion="it may be meant to fill the disk")


def _check_entry(info: zipfile.ZipInfo, limits: Limits, nested: bool) -> list[PackFault]:
    name = info.orig_filename
    ratio = info.file_size / max(info.compress_size, 1)
    outside = why_outside(name)
    checks = (
        (outside, "outside the pack", f"a path inside the pack ({outside})", "name it by its place in the pack"),
        (stat.S_ISLNK(info.external_attr >> 16), "a link", "a plain file", "put the file itself into the pack"),
        (info.flag_bits & 0x1, "encrypted", "a zip without a password", "zip it again without a password"),
        (info.compress_type not in _METHODS, "packed in an unknown way", "stored or deflated", "zip it again"),
        (nested and name.lower().endswith(_PACKED), "a packed file inside the pack", "CSV files", "take it out"),
        (info.file_size > limits.file_bytes, "too large", f"at most {limits.file_bytes:,} bytes", "split the pack"),
        (
            ratio > limits.ratio and info.file_size > limits.ratio_from_bytes,
            "unpacks to far more than it holds",
            f"at most {limits.ratio} times its packed size",
            "it may be meant to fill the disk",
        ),
    )
    return [
        PackFault(kind, ascii(name)[1:-1] or "(no name)", expected=want, suggestion=do)
        for bad, kind, want, do in checks
        if bad
    ]
