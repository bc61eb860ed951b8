"""A typeface for signs that the standard fonts of PDF lack: what it can show, its used part; pure.

DejaVu Sans, which its licence (Bitstream Vera's and Arev's terms; LICENSE_DEJAVU beside the files)
lets anybody copy and embed.  It lies in matplotlib, which the planner of rounds brings along.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from unicodedata import bidirectional, category

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
"""By whether it is bold."""
UNKNOWN = "?"
FROM_RIGHT = ("R", "AL", "AN")
_THOUSANDTHS = 1000


@dataclass(frozen=True)
class Face:
    """A typeface: ``glyphs`` by sign, ``widths`` by glyph; measures are in 1/1000 em."""

    name: str
    path: Path
    glyphs: Mapping[str, int]
    widths: Mapping[int, int]
    box: Sequence[int]
    ascent: int
    descent: int

    def glyph_of(self, sign: str) -> int:
        """The glyph of a sign, or of the question mark."""
        return self.glyphs[sign if self.shows(sign) else UNKNOWN]

    def shows(self, sign: str) -> bool:
        """Whether a sign is right as it stands: written from the left, not laid over another."""
        strange = bidirectional(sign) in FROM_RIGHT or category(sign).startswith("M")
        return sign in self.glyphs and not strange

    def width_of(self, told: str) -> float:
        """The width of a line [em]."""
        return sum(self.widths[self.glyph_of(sign)] for sign in told) / _THOUSANDTHS

    def part(self, glyphs: Iterable[int]) -> bytes:
        """A font file with these glyphs alone, each under the number it had."""
        options = Options()
        options.retain_gids, options.layout_features, options.hinting = True, [], False
        subset = Subsetter(options)
        subset.populate(gids=sorted(glyphs))
        out = BytesIO()
        with TTFont(self.path, recalcTimestamp=False) as font:
            subset.subset(font)
            font.save(out)
        return out.getvalue()


@lru_cache(maxsize=2)
def load_face(*, bold: bool) -> Face:
    """The typeface, read once."""
    spec = find_spec("matplotlib")  # not imported: only its folder is asked for
    folder = Path(spec.origin or "").parent if spec else Path()
    path = folder / "mpl-data" / "fonts" / "ttf" / FILES[bold]
    with TTFont(path) as font:
        head, line = font["head"], font["hhea"]
        scale = _THOUSANDTHS / head.unitsPerEm
        numbers = font.getReverseGlyphMap()
        return Face(
            name=path.stem,
            path=path,
            glyphs={chr(code): numbers[name] for code, name in font.getBestCmap().items()},
            widths={
                numbers[name]: round(width * scale)
                for name, (width, _) in font["hmtx"].metrics.items()
            },
            box=[round(each * scale) for each in (head.xMin, head.yMin, head.xMax, head.yMax)],
            ascent=round(line.ascent * scale),
            descent=round(line.descent * scale),
        )
