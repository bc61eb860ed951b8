"""Pictures of the demo, drawn: what a phone would have shown on two of its roofs."""

from __future__ import annotations

from io import BytesIO

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

SIZE = (640, 480)
PAINT, RUST, DARK_RUST = (142, 148, 146), (146, 78, 38), (84, 44, 26)
SKY, ROOF, WATER = (176, 190, 200), (104, 102, 98), (120, 136, 146)


def rusted_housing() -> bytes:
    """A painted housing that salt air has eaten deep, from its seam and its bolts on."""
    eaten = _clouds(7, 9) + 0.55 * _near_seam() + 0.25 * _clouds(60, 3)
    sheet = _shaded(Image.new("RGB", SIZE, PAINT), 0.12, 40, 1)
    rough = _shaded(Image.new("RGB", SIZE, RUST), 0.5, 90, 2)
    holes = _shaded(Image.new("RGB", SIZE, DARK_RUST), 0.6, 120, 4)
    sheet.paste(rough, mask=_mask(eaten, 0.78))
    sheet.paste(holes, mask=_mask(eaten, 1.0))
    draw = ImageDraw.Draw(sheet)
    draw.line((0, 166, 640, 157), (70, 66, 62), 3)
    for left in range(40, 640, 114):
        draw.ellipse((left, 178, left + 23, 201), (96, 74, 58), (58, 50, 46), 3)
    return _taken(sheet)


def flooded_roof() -> bytes:
    """A gym's roof under water up to the curb of the fan beyond."""
    roof = Image.new("RGB", SIZE, SKY)
    draw = ImageDraw.Draw(roof)
    draw.rectangle((0, 166, 640, 200), (128, 116, 106))
    draw.rectangle((0, 200, 640, 480), ROOF)
    draw.polygon(((0, 220), (640, 208), (640, 480), (86, 480)), WATER)
    _fan(draw, 406, 214, 1)
    mirrored = Image.new("RGB", SIZE, WATER)
    _fan(ImageDraw.Draw(mirrored), 406, 214, -1)
    below = Image.new("L", SIZE, 0)
    ImageDraw.Draw(below).polygon(((20, 223), (640, 214), (640, 480), (86, 480)), 150)
    roof.paste(mirrored.filter(ImageFilter.GaussianBlur(3)), mask=below)
    return _taken(_shaded(roof, 0.10, 120, 5))


def _fan(draw: ImageDraw.ImageDraw, middle: int, foot: int, up: int) -> None:
    """An upblast fan on its curb, or what the water shows of it."""
    for wide, low, high, ink in (
        (46, 0, 35, (118, 116, 112)), (57, 35, 40, (88, 86, 84)), (52, 40, 88, (164, 166, 164)),
        (65, 88, 97, (140, 142, 140)), (39, 97, 121, (150, 152, 150)),
    ):  # fmt: skip
        ends = sorted((foot - up * low, foot - up * high))
        draw.rectangle((middle - wide, ends[0], middle + wide, ends[1]), ink)


def _clouds(cells: int, seed: int) -> np.ndarray:
    """Soft noise between 0 and 1, shape (480, 640)."""
    grain = np.random.default_rng(seed).random((cells, cells * 4 // 3)).astype(np.float32)
    return np.asarray(Image.fromarray(grain).resize(SIZE, Image.Resampling.BICUBIC))


def _near_seam() -> np.ndarray:
    """1 at the seam, falling to 0 away from it."""
    rows = np.abs(np.arange(SIZE[1], dtype=np.float32) - 200) / 173
    return np.clip(1 - rows, 0, 1)[:, None] * np.ones((1, SIZE[0]), np.float32)


def _mask(eaten: np.ndarray, level: float) -> Image.Image:
    return Image.fromarray((np.clip((eaten - level) * 9, 0, 1) * 255).astype(np.uint8))


def _shaded(image: Image.Image, depth: float, cells: int, seed: int) -> Image.Image:
    light = 1 + depth * (_clouds(cells, seed) + _clouds(6, seed + 50) - 1)
    pixels = np.asarray(image).astype(np.float32) * light[:, :, None]
    return Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8))


def _taken(image: Image.Image) -> bytes:
    """The picture as a phone would have it: grain, a little soft, JPEG."""
    grain = np.random.default_rng(11).normal(0, 5, (SIZE[1], SIZE[0], 1))
    soft = np.asarray(image.filter(ImageFilter.GaussianBlur(1))).astype(np.float32)
    file = BytesIO()
    Image.fromarray(np.clip(soft + grain, 0, 255).astype(np.uint8)).save(file, "JPEG", quality=85)
    return file.getvalue()
