"""A file that was sent, kept where it waits to be brought in."""

from __future__ import annotations

from pathlib import PurePath
from uuid import uuid4

from django.core.files.uploadedfile import UploadedFile

from footring.records.bring_in.looking import kind_of
from footring.records.bring_in.progress import incoming
from footring.records.models import Job, User
from footring.terms.errors import BadInput

KINDS = (".csv", ".tsv", ".txt", ".xlsx", ".ods", ".zip")
LARGEST = 500 << 20
LONGEST_NAME = 120


def kept(sent: UploadedFile | None, by: User) -> Job:
    """The job of a file.

    Raises
    ------
    BadInput
        There is none, it is of another kind or too large, or it cannot be opened.
    """
    if sent is None:
        raise BadInput("no file was chosen: choose a CSV, XLSX or ODS spreadsheet, or a pack as a zip")
    name = PurePath(sent.name or "a file").name[-LONGEST_NAME:]
    ending = PurePath(name).suffix.lower()
    if ending not in KINDS:
        raise BadInput(f"{name}: expected a file that ends in {', '.join(KINDS)}; save it as CSV UTF-8, say")
    if (sent.size or 0) > LARGEST:
        raise BadInput(f"{name}: {sent.size:,} bytes, expected at most {LARGEST:,}; split it")
    path = incoming() / f"{uuid4().hex}{ending}"
    try:
        with path.open("wb") as file:
            for chunk in sent.chunks():
                file.write(chunk)
        return Job.objects.create(by=by, what=name, kind=kind_of(path, name), file=path.name)
    except BaseException:
        path.unlink(missing_ok=True)
        raise
