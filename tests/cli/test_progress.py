from __future__ import annotations

import io

from footring.cli.progress import Progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_nothing_before_two_seconds_and_nothing_where_nobody_watches() -> None:
    for stream, silent_s in ((Terminal(), 60.0), (io.StringIO(), 0.0)):
        with Progress(stream=stream, silent_s=silent_s) as progress:
            progress("makers.csv", 5, 10)
        assert stream.getvalue() == ""


def test_a_terminal_line_is_kept_up_to_date_and_wiped(monkeypatch) -> None:
    monkeypatch.setattr("footring.cli.progress.AGAIN_S", 0.0)
    stream = Terminal()
    with Progress(stream=stream, silent_s=0.0) as progress:
        progress("makers.csv", 5, 10)
        progress("a", 10, 10)
    assert stream.getvalue() == "\rmakers.csv 50 %\ra 100 %        \r               \r"


def test_asked_for_it_is_lines() -> None:
    stream = io.StringIO()
    with Progress(asked=True, stream=stream, silent_s=0.0) as progress:
        progress("book.xlsx", 0, 0)
        progress("too soon", 1, 2)
    assert stream.getvalue() == "book.xlsx ...\n"
