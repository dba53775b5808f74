"""The project's own errors.

Every error says what was given, what was expected and what to do about it. Each is also a subclass of the
builtin a caller would catch anyway.
"""

from __future__ import annotations


class FootringError(Exception):
    """Base of every error Footring raises on purpose.

    The command line prints its text as one line and exits 2; a page shows the same sentence by the field.
    """


class BadInput(FootringError, ValueError):
    """A value that cannot be read: the text names it, what was expected, and what to do."""


class UnknownName(FootringError, LookupError):
    """A name or id that is not there: the text names the nearest one that is, when there is one."""


class MissingPart(FootringError, ImportError):
    """An optional part is not installed: the text says how to get it."""
