"""Where photographs are kept: in the collection's folder, or in a store that speaks S3."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlsplit

from footring.terms.errors import BadInput, MissingPart

EXPECTED = "FOOTRING_STORE: expected s3://bucket?endpoint=https://host&region=name, without keys in it"
_MORE = {"endpoint": "endpoint_url", "region": "region_name"}


def store_of(address: str, folder: Path) -> dict[str, Any]:
    """The storage as Django wants it described.

    Parameters
    ----------
    address : str
        `s3://bucket?endpoint=https://host&region=name`, or empty for the folder; `s3://bucket/plates` for a folder of
        the bucket. The keys come from the environment, as AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY; they never
        stand in the address. A bucket, or a folder of one, is for one collection alone.

    Raises
    ------
    BadInput
        Another kind of address.
    MissingPart
        What speaks S3 is not installed.
    """
    if not address:
        return {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": folder}}
    at = urlsplit(address)
    more = dict(parse_qsl(at.query, keep_blank_values=True))
    if at.scheme != "s3" or not at.hostname or at.username or not set(more) <= set(_MORE):
        raise BadInput(EXPECTED)
    if "endpoint" in more and not more["endpoint"].startswith(("https://", "http://")):
        raise BadInput(f"{EXPECTED}; {more['endpoint']!r} is no address of a host")
    if find_spec("storages") is None:
        raise MissingPart(
            "keeping photographs in an S3 store needs one more part: pip install 'footring[store]' adds it; "
            "without FOOTRING_STORE they are kept in the folder"
        )
    options = {"bucket_name": at.hostname, "location": at.path.strip("/")}
    options |= {_MORE[name]: value for name, value in more.items()}
    return {"BACKEND": "footring.records.s3.PhotographStore", "OPTIONS": options}
