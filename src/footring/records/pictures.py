"""Pictures: which are taken, and what of one is shown."""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator
from contextlib import contextmanager

from PIL import Image, ImageCms, ImageOps

from footring.terms.errors import BadInput

KINDS = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp"}
"""Pictures that are taken, known by what is in them, and how their files end."""
MOST_PIXELS = 80_000_000
_SEVERAL_IN_ONE = "MPO"
"""What a JPEG with more pictures behind the first is told as; some telephones write such."""
_BROKEN = (OSError, ValueError, SyntaxError, KeyError, struct.error)


@contextmanager
def opened(data: bytes) -> Iterator[tuple[Image.Image, str]]:
    """A picture that is not decoded yet, and its kind: one of `KINDS`.

    Raises
    ------
    BadInput
        It is none of them, has too many pixels, or what is done with it shows that it cannot be decoded.
    """
    try:
        with Image.open(io.BytesIO(data), formats=list(KINDS)) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise BadInput(_too_many(f"{picture.width} x {picture.height}"))
            yield picture, "JPEG" if picture.format == _SEVERAL_IN_ONE else str(picture.format)
    except BadInput:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise BadInput(_too_many("far too many")) from error
    except _BROKEN as error:
        raise BadInput(
            "this file cannot be read as a picture: a photograph as JPEG, PNG or WebP was expected"
        ) from error


def _too_many(pixels: str) -> str:
    return f"this picture has {pixels} pixels: at most {MOST_PIXELS // 10**6} million are taken"


def bare(data: bytes, longest: int) -> bytes:
    """A picture as a JPEG the right way up, in the colours of a screen, with nothing else in it.

    Parameters
    ----------
    data : bytes
        A picture of one of `KINDS`.
    longest : int
        Pixels of its longer side, at most.

    Raises
    ------
    BadInput
        It cannot be decoded.
    """
    with opened(data) as (picture, _):
        picture.draft("RGB", (longest, longest))
        small = _upright(picture)
        small.thumbnail((longest, longest))
        profile = picture.info.get("icc_profile")
        seen = _as_on_a_screen(_on_white(small), profile)
    out = io.BytesIO()
    seen.save(out, "JPEG", quality=85)
    return out.getvalue()


def _upright(picture: Image.Image) -> Image.Image:
    """The right way up; as it lies where what says so is broken."""
    try:
        return ImageOps.exif_transpose(picture)
    except _BROKEN:
        return picture.copy()


def _on_white(picture: Image.Image) -> Image.Image:
    """In three colours, and on white where one could see through it; nothing but its pixels."""
    if picture.mode.startswith("I;16"):
        picture = picture.point(lambda value: value / 256).convert("L")
    clear = picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info
    white = Image.new("RGB", picture.size, "white")
    white.paste(picture, mask=picture.convert("RGBA").getchannel("A") if clear else None)
    return white


def _as_on_a_screen(picture: Image.Image, profile: bytes | None) -> Image.Image:
    """From the colours of a camera to those of a screen; as it is where it says of none that can be read."""
    if not profile:
        return picture
    try:
        of_camera, of_screen = ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB")
        return ImageCms.profileToProfile(picture, of_camera, of_screen) or picture
    except (ImageCms.PyCMSError, OSError):
        return picture
