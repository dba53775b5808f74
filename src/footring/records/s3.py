"""A store that speaks S3: a file is there whole or not at all, and what goes wrong is told in a line.

Imported only where FOOTRING_STORE names such a store: what it needs may not be installed.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from boto3.exceptions import Boto3Error
from boto3.s3.transfer import TransferConfig
from botocore.config import Config
from botocore.exceptions import BotoCoreError, ClientError, NoCredentialsError, PartialCredentialsError
from django.core.files.base import ContentFile
from storages.backends.s3 import S3Storage

ONE_PIECE = TransferConfig(multipart_threshold=2**30, use_threads=False)
"""No file is sent in parts: those of one that was cut off would stay, unseen and paid for."""
PATIENCE = Config(
    connect_timeout=5,
    read_timeout=60,
    retries={"mode": "standard", "total_max_attempts": 2},
    request_checksum_calculation="when_required",  # many stores that speak S3 know of no other
    response_checksum_validation="when_required",
)
_REFUSED = 403


class PhotographStore(S3Storage):
    """Errors of the store are OSErrors, as those of a disk are."""

    def __init__(self, **described: Any) -> None:
        super().__init__(client_config=PATIENCE, transfer_config=ONE_PIECE, **described)

    def _open(self, name: str, mode: str = "rb") -> ContentFile:
        with _told(), super()._open(name, mode) as file:
            return ContentFile(file.read(), name)

    def _save(self, name: str, content: Any) -> str:
        with _told():
            return str(super()._save(name, content))

    def delete(self, name: str) -> None:  # noqa: D102 (Django's)
        with _told():
            super().delete(name)

    def listdir(self, name: str) -> tuple[list[str], list[str]]:  # noqa: D102 (Django's)
        with _told():
            return super().listdir(name)

    def get_modified_time(self, name: str) -> datetime:  # noqa: D102 (Django's)
        with _told():
            return super().get_modified_time(name)


@contextmanager
def _told() -> Iterator[None]:
    try:
        yield
    except (BotoCoreError, ClientError, Boto3Error) as error:
        raise OSError(f"the store of photographs {_why(error)}") from error


def _why(error: Exception) -> str:
    if isinstance(error, (NoCredentialsError, PartialCredentialsError)):
        return "was given no keys: AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY are expected"
    if not isinstance(error, ClientError):
        return "cannot be reached"
    code = error.response.get("Error", {}).get("Code", "")
    if error.response.get("ResponseMetadata", {}).get("HTTPStatusCode") == _REFUSED:
        return f"refuses the keys, or what was asked with them ({code})"
    return f"answers {code}"
