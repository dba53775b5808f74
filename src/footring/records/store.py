"""Where photographs are kept: in the collection's folder, or in a store that speaks S3."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from footring.terms.errors import BadInput, MissingPart

_MORE = {"endpoint": "endpoint_url", "region": "region_name"}


def store_of(address: str, folder: Path) -> dict[str, Any]:
    """The storage as Django wants it described.

    Parameters
    ----------
    address : str
        `s3://bucket?endpoint=https://host&region=name`, or empty for the folder. The keys come from the environment,
        as AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY; they never stand in the address.

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
    if at.scheme != "s3" or not at.hostname or at.username:
        raise BadInput("FOOTRING_STORE: expected s3://bucket?endpoint=https://host, without keys in it")
    if find_spec("storages") is None:
        raise MissingPart(
            "keeping photographs in an S3 store needs one more part: pip install 'django-storages[s3]' adds it; "
            "without FOOTRING_STORE they are kept in the folder"
        )
    more = parse_qs(at.query)
    options = {"bucket_name": at.hostname, "default_acl": "private", "querystring_auth": True, "file_overwrite": False}
    options |= {
        name: more[of][0] for of, name in (("endpoint", "endpoint_url"), ("region", "region_name")) if of in more
    }
    return {"BACKEND": "storages.backends.s3.S3Storage", "OPTIONS": options}
