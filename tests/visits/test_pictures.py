"""Pictures taken in: what is refused with which remedy, and that nothing but pixels is kept."""

from __future__ import annotations

import struct
import zlib
from contextlib import suppress
from io import BytesIO
from typing import Any, NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tests.visits.photographs import EXIF, GPS, PLACE, TAKEN, exif, opened, photo
from visits.pictures import MOST_BYTES, PictureError, read_picture, thumbnail_size

HEADS = {
    "heic": b"\0\0\0\x18ftypheic\0\0\0\0mif1heic",
    "heix": b"\0\0\0\x18ftypheix\0\0\0\0mif1heix",
    "mif1": b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic",
    "avif": b"\0\0\0\x18ftypavif\0\0\0\0avifmif1",
}
"""How such files begin: ISO/IEC 14496-12, 4.3 (ftyp), brands of ISO/IEC 23008-12, annex B."""

OWN_INFO = {
    "jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression",
}  # fmt: skip
"""What the encoder itself writes into every JPEG."""


class Refusal(NamedTuple):
    """What was wrong and what to do, in English."""

    problem: str
    remedy: str


def refused(data: bytes) -> Refusal:
    with pytest.raises(PictureError) as caught:
        read_picture(data)
    return Refusal(*caught.value.told_by(str))


def edges(data: bytes) -> list[str]:
    """On which edges of the picture the red is."""
    image = opened(data).convert("RGB")
    wide, high = image.size
    places = {
        "left": (2, high // 2), "right": (wide - 3, high // 2),
        "top": (wide // 2, 2), "bottom": (wide // 2, high - 3),
    }  # fmt: skip
    reds = {edge: image.getpixel(place) for edge, place in places.items()}
    return [edge for edge, value in reds.items() if isinstance(value, tuple) and value[0] > 120]


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_picture_when_of_a_kind_we_take_then_two_files_of_jpeg(kind: str) -> None:
    picture = read_picture(photo((640, 480), kind=kind))
    kinds = [opened(each).format for each in (picture.image, picture.thumbnail)]
    assert (kinds, picture.width, picture.height) == (["JPEG", "JPEG"], 640, 480)


def test_picture_when_large_then_within_the_longest_edges() -> None:
    picture = read_picture(photo((4000, 3000)))
    sizes = [opened(each).size for each in (picture.image, picture.thumbnail)]
    assert sizes == [(2048, 1536), (320, 240)]


@pytest.mark.parametrize("size", [(1, 1), (3, 4000), (5000, 2), (320, 321), (2049, 700)])
def test_thumbnail_when_sized_beforehand_then_as_it_is_drawn(size: tuple[int, int]) -> None:
    picture = read_picture(photo(size))
    assert opened(picture.thumbnail).size == thumbnail_size(picture.width, picture.height)


@pytest.mark.parametrize(
    ("orientation", "edge"),
    [(1, "left"), (2, "right"), (3, "right"), (4, "left"), (5, "top"), (6, "top"), (7, "bottom"),
     (8, "bottom"), (0, "left"), (99, "left")],
)  # fmt: skip
def test_picture_when_the_phone_was_turned_then_upright(orientation: int, edge: str) -> None:
    # Exif 2.32 (CIPA DC-008), tag 274: where the 0th row and column are; others are reserved.
    turned = photo((80, 60), exif=exif(orientation=orientation))
    assert edges(read_picture(turned).image) == [edge]


def test_picture_when_it_told_of_place_maker_and_words_then_none_of_it_is_kept() -> None:
    sent = photo(exif=exif(), comment=b"my own garden", dpi=(72, 72), icc_profile=b"x" * 200)
    picture = read_picture(sent)
    kept = [opened(each) for each in (picture.image, picture.thumbnail)]
    told = [(dict(each.getexif()), {*each.info} - OWN_INFO) for each in kept]
    assert told == [({}, set())] * 2


def test_picture_when_position_is_kept_then_it_and_the_moment_and_nothing_else() -> None:
    picture = read_picture(photo(exif=exif(orientation=6)), keep_position=True)
    kept = opened(picture.image).getexif()
    place = {tag: PLACE[tag] for tag in (1, 2, 3, 4)}
    assert (
        {*kept}, kept.get_ifd(GPS), kept.get_ifd(EXIF),
    ) == ({GPS, EXIF}, place, {TAKEN: "2026:03:02 09:12:00"})  # fmt: skip


def test_thumbnail_when_position_is_kept_then_without() -> None:
    picture = read_picture(photo(exif=exif()), keep_position=True)
    assert dict(opened(picture.thumbnail).getexif()) == {}


@pytest.mark.parametrize(
    "place",
    [
        {1: "N", 2: (91.0, 0.0, 0.0), 3: "W", 4: (87.0, 0.0, 0.0)},
        {1: "<script>", 2: (41.0, 0.0, 0.0), 3: "W", 4: (87.0, 0.0, 0.0)},
        {1: "N", 2: (41.0, 0.0, 0.0)},
    ],
)
def test_position_when_it_makes_no_sense_then_not_kept(place: dict[int, Any]) -> None:
    told = Image.Exif()
    told.get_ifd(GPS).update(place)
    picture = read_picture(photo(exif=told).replace(b"<script>", b"<scripd>"), keep_position=True)
    assert dict(opened(picture.image).getexif()) == {}


@pytest.mark.filterwarnings("ignore:Corrupt EXIF")
@pytest.mark.parametrize("keep", [True, False])
def test_exif_when_damaged_then_the_pixels_are_taken_all_the_same(keep: bool) -> None:
    damaged = photo(exif=b"Exif\0\0II*\0\x08\0\0\0\xff\xff" + b"\x25\x88" * 40)
    assert read_picture(damaged, keep_position=keep).width == 64


@pytest.mark.parametrize(
    ("mode", "kind"),
    [("1", "PNG"), ("L", "PNG"), ("L", "JPEG"), ("LA", "PNG"), ("P", "PNG"), ("RGBA", "PNG"),
     ("RGBA", "WEBP"), ("CMYK", "JPEG"), ("I;16", "PNG")],
)  # fmt: skip
def test_picture_when_of_another_mode_then_three_colours(mode: str, kind: str) -> None:
    assert opened(read_picture(photo(mode=mode, kind=kind)).image).mode == "RGB"


def test_picture_when_one_can_look_through_then_on_white() -> None:
    glass = BytesIO()
    Image.new("RGBA", (8, 8), (0, 0, 0, 0)).save(glass, "PNG")
    assert opened(read_picture(glass.getvalue()).image).getpixel((4, 4)) == (255, 255, 255)


def test_picture_when_one_colour_of_its_palette_is_clear_then_on_white() -> None:
    clear = photo(mode="P", kind="PNG", transparency=b"\0" * 3)
    assert opened(read_picture(clear).image).getpixel((4, 4)) == (255, 255, 255)


def test_picture_when_of_sixteen_bits_then_as_light_as_it_was() -> None:
    grey = BytesIO()
    Image.new("I;16", (8, 8), 0x8000).save(grey, "PNG")
    assert opened(read_picture(grey.getvalue()).image).getpixel((4, 4)) == (128, 128, 128)


def test_picture_when_for_print_then_its_colours_are_right() -> None:
    red = BytesIO()
    Image.new("CMYK", (8, 8), (0, 255, 255, 0)).save(red, "JPEG")
    seen = opened(read_picture(red.getvalue()).image).getpixel((4, 4))
    assert isinstance(seen, tuple) and seen[0] > 240 and max(seen[1:]) < 15  # noqa: PT018


@pytest.mark.parametrize("head", HEADS)
def test_picture_when_heic_then_told_how_to_set_the_phone(head: str) -> None:
    assert "most compatible format (JPEG)" in refused(HEADS[head] + b"\0" * 500).remedy


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "nothing was sent"),
        (b"\0", "this is no picture that we know"),
        (b"GIF89a" + b"\0" * 90, "this is no picture that we know"),
        (b"%PDF-1.7\n", "this is no picture that we know"),
        (b"\0\0\0\x18ftypisom" + b"\0" * 90, "this is a film or a format of its kind"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "this is a page or a drawing in markup"),
        (b"\xef\xbb\xbf \n<!DOCTYPE html><p>", "this is a page or a drawing in markup"),
        (b"\xff\xd8\xff", "the picture is damaged or cut short"),
        (b"\x89PNG\r\n\x1a\n", "the picture is damaged or cut short"),
        (b"RIFF\x10\0\0\0WEBPVP8 ", "the picture is damaged or cut short"),
        (b"\xff\xd8\xff" + b"\0" * MOST_BYTES, "this has 20.0 MB"),
    ],
)
def test_picture_when_it_is_none_then_says_what_it_is(data: bytes, problem: str) -> None:
    assert refused(data).problem == problem


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.4, 0.9])
def test_picture_when_cut_short_then_refused(kind: str, share: float) -> None:
    noise = Image.effect_noise((200, 200), 80).convert("RGB")
    file = BytesIO()
    noise.save(file, kind)
    whole = file.getvalue()
    assert refused(whole[: int(len(whole) * share)]).problem == (
        "the picture is damaged or cut short"
    )


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_picture_when_it_moves_then_refused(kind: str) -> None:
    frames = [Image.new("RGB", (8, 8), colour) for colour in ("red", "blue")]
    file = BytesIO()
    frames[0].save(file, kind, save_all=True, append_images=frames[1:])
    assert refused(file.getvalue()).problem == "this picture moves"


def test_jpeg_when_its_depth_comes_as_a_second_frame_then_the_first_is_taken() -> None:
    file = BytesIO()
    first, second = Image.new("RGB", (80, 60), "red"), Image.new("L", (20, 15))
    first.save(file, "MPO", save_all=True, append_images=[second])
    picture = read_picture(file.getvalue())
    assert (picture.width, picture.height) == (80, 60)


def bomb(width: int, height: int) -> bytes:
    """A small PNG that says it has that many pixels (PNG, third edition, 11.2.1)."""

    def chunk(name: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    pixels = zlib.compress(b"\0" * 100_000)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("size", [(6000, 4001), (10_000, 10_000), (65_000, 65_000)])
def test_picture_when_it_would_unfold_to_too_many_pixels_then_refused_before(
    size: tuple[int, int],
) -> None:
    assert "pixels" in refused(bomb(*size)).problem


def test_jpeg_when_it_must_be_held_whole_then_fewer_pixels_fit() -> None:
    plain, layered = (photo((6001, 4000), mode="L", progressive=each) for each in (False, True))
    assert (read_picture(plain).width, refused(layered).problem) == (
        2048, "this has 6001 × 4000 pixels",
    )  # fmt: skip


def test_jpeg_when_of_more_layers_than_a_camera_writes_then_refused() -> None:
    layered = photo(progressive=True)
    start = layered.index(b"\xff\xda")
    end = layered.index(b"\xff", start + 2)
    assert "layers" in refused(layered[:start] + layered[start:end] * 41 + layered[end:]).problem


@pytest.mark.parametrize("hidden", [b"<script>alert(1)</script>", b"<!DOCTYPE html>", b"<?php x"])
def test_picture_when_a_script_hides_in_it_then_refused(hidden: bytes) -> None:
    told = [refused(photo(comment=hidden)).problem, refused(photo() + hidden).problem]
    assert told == ["a script is hidden in this picture"] * 2


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_picture_when_another_file_follows_it_then_only_the_pixels_are_kept(kind: str) -> None:
    film = b"\0\0\0\x18ftypisom" + b"PK\x03\x04 another file"
    picture = read_picture(photo(kind=kind) + film)
    assert b"another file" not in picture.image + picture.thumbnail


@pytest.mark.filterwarnings("ignore")
@given(st.sampled_from(["JPEG", "PNG", "WEBP"]), st.data())
def test_picture_when_damaged_anywhere_then_taken_or_refused_and_nothing_else(
    kind: str, draw: st.DataObject
) -> None:
    data = bytearray(photo(kind=kind, exif=exif()))
    for place in draw.draw(st.lists(st.integers(0, len(data) - 1), min_size=1, max_size=6)):
        data[place] = draw.draw(st.integers(0, 255))
    with suppress(PictureError):
        assert opened(read_picture(bytes(data), keep_position=True).image).format == "JPEG"


@pytest.mark.parametrize(
    "piece", [b"\xff", b"\xff\xe5\x00\x02", b"\x00"], ids=["padding", "empty parts", "nothing"]
)
def test_picture_when_of_millions_of_pieces_then_refused_before_they_are_looked_at(
    piece: bytes,
) -> None:
    # ITU-T T.81, B.1.1.2 and B.1.1.4: any number of fill bytes, a length of two is an empty part
    sent = b"\xff\xd8\xff\xe5\x00\x02" + piece * (6_000_000 // len(piece))
    assert refused(sent).problem == "this file is in too many small pieces"
