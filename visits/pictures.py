"""Pictures as they are taken in: told by content, bounded, drawn anew as JPEG; knows no Django.

Whatever was sent is read once and never kept: what is kept are pixels that were encoded here, so
nothing that hid beside them (position, names, scripts, a second file) outlives that.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from threading import BoundedSemaphore
from typing import Any

from PIL import Image

from fleet.refusals import N_, ToldError

MOST_BYTES = 20_000_000
MOST_PIXELS = {"JPEG": 64_000_000, "PNG": 24_000_000, "WEBP": 24_000_000}
"""Our choice: a large phone camera's; what JPEG has beyond the longest edge is never decoded."""
MOST_LAYERED = 24_000_000
"""Our choice: a JPEG in layers (progressive) is held whole, in up to 7 bytes a pixel."""
MOST_SCANS = 40
"""Our choice: ten are usual in a JPEG that sharpens as it loads; each costs as much as one."""
MOST_READS = 50_000
"""Our choice: a PNG of 20 MB in pieces of 4 kB takes 20,000; each costs, even of nothing."""
LONGEST_EDGE, THUMBNAIL_EDGE = 2048, 320
QUALITY, THUMBNAIL_QUALITY = 82, 75

STARTS = (
    (re.compile(rb"\xff\xd8\xff"), "JPEG"),
    (re.compile(rb"\x89PNG\r\n\x1a\n"), "PNG"),
    (re.compile(rb"RIFF.{4}WEBP", re.DOTALL), "WEBP"),
    (re.compile(rb".{4}ftyp(?:hei|hev|mif|msf|avi)", re.DOTALL), "HEIC"),
    (re.compile(rb".{4}ftyp", re.DOTALL), "film"),
    (re.compile(rb"(?:\xef\xbb\xbf)?\s*<"), "page"),
)
SCAN = re.compile(rb"\xff\xda\x00[\x08\x0a\x0c\x0e][\x01-\x04]")
SCRIPT = re.compile(rb"<(?:script|!doctype|\?php)[\s>]", re.IGNORECASE)
SEND_ANOTHER = N_("send a photo as JPEG, PNG or WebP")
TAKE_ANEW = N_("take the photo anew")
FEWER_PIXELS = N_("at most %(most)s million of its kind fit; take it with fewer pixels")
UNKNOWN = N_("this is no picture that we know")
REFUSED = {
    "HEIC": (
        N_("this is HEIC or of its kind, which not every device can show"),
        N_(
            "set the phone's camera to its most compatible format (JPEG), or share the photo as "
            "JPEG"
        ),
    ),
    "film": (N_("this is a film or a format of its kind"), SEND_ANOTHER),
    "page": (N_("this is a page or a drawing in markup"), SEND_ANOTHER),
}

ORIENTATION, EXIF_PART, GPS_PART = 0x0112, 0x8769, 0x8825
TAKEN = (0x9003, 0x9011)
"""DateTimeOriginal and OffsetTimeOriginal.  All tags are those of Exif 2.32 (CIPA DC-008)."""
SIDES, ANGLES = {1: "NS", 3: "EW"}, {2: 90, 4: 180}
"""GPSLatitudeRef and GPSLongitudeRef by letter, GPSLatitude and GPSLongitude by most degrees."""
MOMENT = re.compile(r"[\d: +-]{6,20}")
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM, 5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270, 7: Image.Transpose.TRANSVERSE, 8: Image.Transpose.ROTATE_90,
}  # fmt: skip
"""What makes a picture upright, by its orientation."""
SEE_THROUGH = ("LA", "La", "PA", "RGBA", "RGBa")

_turn = BoundedSemaphore(2)
"""So many are decoded at once in this process; the others wait with what they sent."""


class PictureError(ToldError):
    """What was sent is no picture that can be taken; ``seen`` is how it begins."""

    def __init__(self, problem: str, remedy: str, seen: str = "", **values: object) -> None:
        super().__init__(problem, remedy, values)
        self.seen = seen


@dataclass(frozen=True, slots=True)
class Picture:
    """Two JPEG files of one picture, upright, on white; ``width`` and ``height`` of the large."""

    image: bytes
    thumbnail: bytes
    width: int
    height: int


class _Pieces(BytesIO):
    """A file that a decoder may read in so many pieces: of padding it would look at each byte."""

    left = MOST_READS

    def read(self, size: int | None = -1, /) -> bytes:
        self.left -= 1
        if self.left < 0:
            raise PictureError(N_("this file is in too many small pieces"), TAKE_ANEW)
        return super().read(size)


def read_picture(data: bytes, *, keep_position: bool = False) -> Picture:
    """Take a JPEG, PNG or WebP file in; PictureError for anything else, damaged or too large.

    Colours are taken as sRGB.  ``keep_position`` leaves where and when it was taken in the large
    file; nothing else that came with the pixels is kept.
    """
    kind = _kind(data)
    with _turn, _told_as_damage(), Image.open(_Pieces(data), formats=[kind]) as opened:
        _check(opened, kind)
        opened.draft(None, (LONGEST_EDGE, LONGEST_EDGE))
        opened.load()
        turn, kept = _read_exif(opened, keep_position)
        upright = _shrunk(_on_white(opened), LONGEST_EDGE)
        if turn in TURNS:
            upright = upright.transpose(TURNS[turn])
        small = _shrunk(upright, THUMBNAIL_EDGE)
        files = _encoded(upright, QUALITY, kept), _encoded(small, THUMBNAIL_QUALITY, b"")
        return Picture(*files, *upright.size)


def thumbnail_size(width: int, height: int) -> tuple[int, int]:
    """Width and height of the thumbnail of a picture of that size [px]."""
    return _fitting(width, height, THUMBNAIL_EDGE)


def _kind(data: bytes) -> str:
    """JPEG, PNG or WEBP, by what is in the file."""
    if not data:
        raise PictureError(N_("nothing was sent"), N_("send the photo itself as the body"))
    if len(data) > MOST_BYTES:
        raise PictureError(
            N_("this has %(size)s MB"), N_("at most %(most)s MB fit; take it with fewer pixels"),
            size=f"{len(data) / 10**6:.1f}", most=MOST_BYTES // 10**6,
        )  # fmt: skip
    kind = next((kind for start, kind in STARTS if start.match(data)), "")
    if kind not in MOST_PIXELS:
        problem, remedy = REFUSED.get(kind, (UNKNOWN, SEND_ANOTHER))
        seen = "".join(chr(byte) if 32 <= byte < 127 else "." for byte in data[:12])
        raise PictureError(problem, remedy, seen)
    if SCRIPT.search(data):
        raise PictureError(N_("a script is hidden in this picture"), TAKE_ANEW)
    if kind == "JPEG" and sum(1 for _ in SCAN.finditer(data)) > MOST_SCANS:
        raise PictureError(
            N_("this JPEG has more than %(most)s layers"), TAKE_ANEW, most=MOST_SCANS
        )
    return kind


@contextmanager
def _told_as_damage() -> Iterator[None]:
    """Whatever a decoder stumbles over is the file's fault."""
    try:
        yield
    except PictureError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_many(N_("this has far too many pixels"), MOST_LAYERED) from error
    except Exception as error:
        problem = N_("the picture is damaged or cut short")
        raise PictureError(problem, N_("send it again, or take it anew")) from error


def _check(opened: Image.Image, kind: str) -> None:
    """Before a pixel is decoded: what is too large, or moves."""
    width, height = opened.size
    most = MOST_LAYERED if opened.info.get("progressive") else MOST_PIXELS[kind]
    if width * height > most:
        problem = N_("this has %(width)s × %(height)s pixels")
        raise _too_many(problem, most, width=width, height=height)
    # Further frames of a JPEG are the same photo's depth or brightness.
    if kind != "JPEG" and getattr(opened, "n_frames", 1) > 1:
        raise PictureError(N_("this picture moves"), N_("send a still one"))


def _too_many(problem: str, most: int, **values: object) -> PictureError:
    return PictureError(problem, FEWER_PIXELS, "", most=most // 10**6, **values)


def _read_exif(opened: Image.Image, keep_position: bool) -> tuple[int, bytes]:
    """How the picture is turned, and what of its EXIF is kept; damage there harms no pixel."""
    try:
        exif = opened.getexif()
        return exif.get(ORIENTATION, 1), _where_and_when(exif) if keep_position else b""
    except Exception:
        return 1, b""


def _where_and_when(exif: Image.Exif) -> bytes:
    """EXIF of the position, where it is whole, and of the moment; empty for neither."""
    told, moments = exif.get_ifd(GPS_PART), exif.get_ifd(EXIF_PART)
    place = {tag: told[tag] for tag, sides in SIDES.items() if str(told.get(tag)) in [*sides]}
    place |= {tag: told[tag] for tag, most in ANGLES.items() if _is_angle(told.get(tag), most)}
    moment = {tag: moments[tag] for tag in TAKEN if MOMENT.fullmatch(str(moments.get(tag)))}
    kept = Image.Exif()
    if is_whole := len(place) == len(SIDES) + len(ANGLES):
        kept.get_ifd(GPS_PART).update(place)
    if moment:
        kept.get_ifd(EXIF_PART).update(moment)
    return kept.tobytes() if is_whole or moment else b""


def _is_angle(told: Any, most: int) -> bool:
    """Degrees, minutes and seconds."""
    return isinstance(told, tuple) and len(told) == 3 and all(
        0 <= part <= limit for part, limit in zip(told, (most, 60, 60), strict=True)
    )  # fmt: skip


def _on_white(opened: Image.Image) -> Image.Image:
    """The pixels in three colours of eight bits; what one could look through is white."""
    if opened.mode.startswith("I"):
        return opened.point(lambda value: value * (1 / 256)).convert("L").convert("RGB")
    if opened.mode not in SEE_THROUGH and "transparency" not in opened.info:
        return opened.convert("RGB")
    glass = opened.convert("RGBA")
    white = Image.new("RGB", glass.size, "white")
    white.paste(glass, mask=glass.getchannel("A"))
    return white


def _shrunk(image: Image.Image, edge: int) -> Image.Image:
    size = _fitting(*image.size, edge)
    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)


def _fitting(width: int, height: int, edge: int) -> tuple[int, int]:
    scale = min(1.0, edge / max(width, height))
    return max(1, round(width * scale)), max(1, round(height * scale))


def _encoded(image: Image.Image, quality: int, exif: bytes) -> bytes:
    image.info = {}  # else a comment that came with it would be written again
    file = BytesIO()
    image.save(file, "JPEG", quality=quality, optimize=True, progressive=True, exif=exif)
    return file.getvalue()
