"""The text of a CSV file, or of what comes in on stdin."""

from __future__ import annotations

import io
import sys
from pathlib import Path

from footring.terms.errors import BadInput


def csv_text(path: str) -> io.StringIO:
    """A CSV as lines for the `csv` module; `-` is stdin.

    Only line feeds and carriage returns end a line: other separators that Unicode knows may stand in a cell.

    Raises
    ------
    BadInput
        The file cannot be read, or is not UTF-8.
    """
    try:
        data = sys.stdin.buffer.read() if path == "-" else Path(path).read_bytes()
        return io.StringIO(data.decode("utf-8-sig"), newline="")
    except OSError as error:
        raise BadInput(f"cannot read {path}: {error.strerror or error}") from error
    except UnicodeDecodeError as error:
        raise BadInput(f"{path} is not UTF-8 text (byte {error.start}): save it as CSV UTF-8") from error
