"""Photos as phones and strangers send them: real bytes, made here."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from PIL import Image

GPS, EXIF, ORIENTATION = 0x8825, 0x8769, 0x0112
PLACE = {1: "N", 2: (41.0, 52.0, 30.0), 3: "W", 4: (87.0, 37.0, 12.0), 7: (15.0, 4.0, 9.0)}
"""Somewhere by latitude and longitude; tags 1 to 4 and 7 of Exif 2.32 (CIPA DC-008), 4.6.6."""
MADE_BY, TAKEN = 0x010F, 0x9003


def photo(
    size: tuple[int, int] = (64, 48), mode: str = "RGB", kind: str = "JPEG", **more: Any
) -> bytes:
    """A picture of one colour, red on its left edge so that its turns can be told."""
    ink = (200, 30, 30) if mode == "RGB" else 200
    image = Image.new(mode, size)
    image.paste(ink, (0, 0, size[0] // 4, size[1])) if mode in ("RGB", "L") else None
    file = BytesIO()
    image.save(file, kind, **more)
    return file.getvalue()


def exif(**tags: Any) -> Image.Exif:
    """EXIF as a phone writes it: maker, moment, position."""
    told = Image.Exif()
    told[MADE_BY] = "Orrel"
    told.get_ifd(GPS).update(PLACE)
    told.get_ifd(EXIF).update({TAKEN: "2026:03:02 09:12:00"})
    if "orientation" in tags:
        told[ORIENTATION] = tags["orientation"]
    return told


def opened(data: bytes) -> Image.Image:
    """A picture read back."""
    return Image.open(BytesIO(data))
