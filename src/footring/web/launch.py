"""The way in for the one person of a collection kept alone: a token that works once, told only to their browser."""

from __future__ import annotations

import hmac
import secrets
import threading

_tokens: list[str] = []
_lock = threading.Lock()


def new_token() -> str:
    """A token that lets one browser in, once, while this process runs."""
    token = secrets.token_urlsafe(32)
    with _lock:
        _tokens.append(token)
    return token


def redeem(token: str) -> bool:
    """Use a token up; whether it was one."""
    with _lock:
        found = next((kept for kept in _tokens if hmac.compare_digest(kept.encode(), token.encode())), None)
        if found is not None:
            _tokens.remove(found)
    return found is not None
