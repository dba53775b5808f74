"""Everything that the command prints goes through here."""

from __future__ import annotations

import json
import sys
from typing import Any

from footring.terms.printable import printable_lines


def say(text: str, *, error: bool = False) -> None:
    """Print text, without characters in it that steer a terminal; an error goes to stderr."""
    print(printable_lines(text), file=sys.stderr if error else sys.stdout)


def say_json(plain: dict[str, Any], *, sort_keys: bool = False) -> None:
    """Print one object in one line, as JSON has it: no NaN, no infinity; every control character is escaped."""
    print(json.dumps(plain, allow_nan=False, sort_keys=sort_keys).replace("\x7f", "\\u007f"))
