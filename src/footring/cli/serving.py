"""What opening a collection alone and serving it to a society have in common."""

from __future__ import annotations

import gc
import logging
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from footring.terms.errors import BadInput, MissingPart

THREADS = 4
"""Pages made at once. More of them wait for one another in one interpreter: `benchmarks/bench_society.py`."""


def made_ready(folder: Path, *, society: bool = False) -> None:
    """Open a collection, as `footring.records.folder.opened`; without the pages installed, say how to get them."""
    try:
        import waitress  # noqa: F401

        from footring.records.folder import opened
    except ImportError as error:
        raise MissingPart("the pages are not installed: pip install 'footring[app]' adds them") from error
    opened(folder, society=society)


def server_of(host: str, port: int, **more: Any) -> Any:
    """The server, listening; what takes long is begun in the background."""
    import waitress

    from footring.records.known import warm
    from footring.records.worker import start_worker
    from footring.web.wsgi import application

    try:
        server = waitress.create_server(application, host=host, port=port, threads=THREADS, ident=None, **more)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise BadInput(f"{host}, port {port} cannot be used: {why}; leave out --port for another") from error
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # that somebody waits a moment is no news
    gc.freeze()  # what was loaded stays: to look for garbage in it again and again held all pages up, 0.1 s each time
    warm()
    start_worker()
    return server


def run_until_closed(run: Callable[[], None]) -> int:
    """Serve until Ctrl-C."""
    with suppress(KeyboardInterrupt):  # mostly the server takes it, and returns
        run()
    print("Closed.")
    return 0
