"""Bytes of a table file -> lines of text, or one fault that names the byte and the line."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import BinaryIO

from footring.packs.faults import PackFault
from footring.packs.limits import Limits

UTF8_BOM = b"\xef\xbb\xbf"
_WIDE_BOMS = {
    b"\xff\xfe\x00\x00": "UTF-32",
    b"\x00\x00\xfe\xff": "UTF-32",
    b"\xff\xfe": "UTF-16",
    b"\xfe\xff": "UTF-16",
}
BLOCK_BYTES = 1 << 20
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
SURROGATE = re.compile(r"[\ud800-\udfff]")
_SAVE = "save the file as UTF-8"


class Unreadable(Exception):
    """Reading on makes no sense after this fault."""

    def __init__(self, fault: PackFault) -> None:
        super().__init__(str(fault))
        self.fault = fault


class Lines:
    r"""Lines of a UTF-8 file with their line ends (``\n``, ``\r\n``); a byte-order mark is passed over.

    Going through them raises `Unreadable` for another encoding (naming the byte and the line), a control
    character, or an endless line.

    Parameters
    ----------
    file : binary file
        Read once, from where it stands.
    name : str
        For messages.
    limits : Limits
        Longest line.
    """

    def __init__(self, file: BinaryIO, name: str, limits: Limits) -> None:
        self._file, self._name, self._limits = file, name, limits
        self.bytes_read = 0

    def __iter__(self) -> Iterator[str]:
        number = 1
        while raw := self._block():
            self.bytes_read += len(raw)
            raw = _without_bom(raw, self._name) if number == 1 else raw
            text = _plain_text(raw, self._limits)
            if text is not None:
                yield from io.StringIO(text, newline="\n")
            else:
                yield from self._line_by_line(raw, number)
            number += raw.count(b"\n")

    def _block(self) -> bytes:
        """Some whole lines (the last may be an endless one, cut)."""
        return self._file.read(BLOCK_BYTES) + self._file.readline(self._limits.line_bytes)

    def _line_by_line(self, raw: bytes, number: int) -> Iterator[str]:
        for i, line in enumerate(io.BytesIO(raw)):
            yield _decoded(line, self._name, number + i, self._limits)


def _plain_text(raw: bytes, limits: Limits) -> str | None:
    """The text of a block in which nothing is amiss; None where it must be looked at line by line."""
    if len(raw) >= limits.line_bytes:
        return None
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        return None
    return None if CONTROL.search(text) else text


def _without_bom(raw: bytes, name: str) -> bytes:
    for mark, encoding in _WIDE_BOMS.items():
        if raw.startswith(mark):
            given = f"{encoding} (the file starts with the bytes {mark.hex(' ').upper()})"
            raise Unreadable(PackFault("not UTF-8", name, 1, given=given, expected="UTF-8", suggestion=_SAVE))
    return raw.removeprefix(UTF8_BOM)


def _decoded(raw: bytes, name: str, number: int, limits: Limits) -> str:
    if len(raw) >= limits.line_bytes:
        most = f"at most {limits.line_bytes:,} bytes in a line"
        raise Unreadable(
            PackFault("endless line", name, number, expected=most, suggestion="look for a quotation mark left open")
        )
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Unreadable(_not_utf8(raw, error, name, number)) from None
    if found := CONTROL.search(text):
        raise Unreadable(_control(found, name, number))
    return text


def _not_utf8(raw: bytes, error: UnicodeDecodeError, name: str, number: int) -> PackFault:
    near = raw[max(0, error.start - 12) : error.start + 12].decode("cp1252", "replace").strip()
    given = f"byte 0x{raw[error.start]:02X} at place {error.start + 1} of the line, in {near!r} read as Windows-1252"
    return PackFault("not UTF-8", name, number, given=given, expected="UTF-8", suggestion=_SAVE)


def _control(found: re.Match[str], name: str, number: int) -> PackFault:
    sign = found.group()
    if sign == "\0":
        say = f"{_SAVE} (it may be UTF-16), or copy it again: it may be damaged"
        return PackFault("NUL byte", name, number, given=f"at place {found.start() + 1} of the line", suggestion=say)
    given = f"U+{ord(sign):04X} at place {found.start() + 1} of the line"
    return PackFault("control character", name, number, given=given, expected="plain text", suggestion="delete it")
