"""The little of a PDF that labels need: pages of boxes, lines and text in the standard fonts; pure.

ISO 32000-1: objects, a table of where they begin, streams deflated.  Lengths are in points, from
the lower left corner.  The standard fonts know the signs of Windows-1252; others become "?".
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

POINTS_PER_MM = 72 / 25.4
REGULAR, BOLD = "F1", "F2"
FONTS = {REGULAR: "Helvetica", BOLD: "Helvetica-Bold"}
WIDEST = 0.62
"""Of a text's signs on average [em], capitals and figures: with that a line is surely short."""


@dataclass
class Page:
    """One page, drawn on."""

    width: float
    height: float
    marks: list[str] = field(default_factory=list)

    def box(self, x: float, y: float, width: float, height: float) -> None:
        """A black box by its lower left corner."""
        self.marks.append(f"{x:.3f} {y:.3f} {width:.3f} {height:.3f} re f")

    def frame(self, x: float, y: float, width: float, height: float) -> None:
        """A hairline to cut along."""
        self.marks.append(f"0.3 w 0.6 G {x:.3f} {y:.3f} {width:.3f} {height:.3f} re S")

    def text(
        self, x: float, y: float, told: str, size: float, *, font: str = REGULAR, room: float = 0
    ) -> None:
        """A line; where ``room`` is too narrow for its ``size``, smaller."""
        if room and told:
            size = min(size, room / (WIDEST * len(told)))
        self.marks.append(f"BT /{font} {size:.2f} Tf {x:.3f} {y:.3f} Td ({_escaped(told)}) Tj ET")


def write_pdf(pages: Sequence[Page], title: str) -> bytes:
    """The whole file."""
    first = 3 + len(FONTS)
    kids = " ".join(f"{first + 2 * at} 0 R" for at in range(len(pages)))
    fonts = " ".join(f"/{name} {3 + at} 0 R" for at, name in enumerate(FONTS))
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>".encode(),
        *(_font(name) for name in FONTS.values()),
    ]
    for at, page in enumerate(pages):
        objects += [_page(page, fonts, first + 2 * at + 1), _stream(page)]
    info = f"<< /Title ({_escaped(title)}) >>".encode("latin-1")
    return _file([*objects, info])


def _font(name: str) -> bytes:
    told = f"<< /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>"
    return told.encode()


def _page(page: Page, fonts: str, content: int) -> bytes:
    return (
        f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {page.width:.3f} {page.height:.3f}] "
        f"/Resources << /Font << {fonts} >> >> /Contents {content} 0 R >>"
    ).encode()


def _stream(page: Page) -> bytes:
    told = zlib.compress("\n".join(page.marks).encode("latin-1"))
    head = f"<< /Length {len(told)} /Filter /FlateDecode >>".encode()
    return head + b"\nstream\n" + told + b"\nendstream"


def _file(objects: Iterable[bytes]) -> bytes:
    out, begins = bytearray(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n"), []
    for number, told in enumerate(objects, 1):
        begins.append(len(out))
        out += f"{number} 0 obj\n".encode() + told + b"\nendobj\n"
    table = len(out)
    rows = "".join(f"{begin:010} 00000 n \n" for begin in begins)
    out += f"xref\n0 {len(begins) + 1}\n0000000000 65535 f \n{rows}".encode()
    out += f"trailer\n<< /Size {len(begins) + 1} /Root 1 0 R /Info {len(begins)} 0 R >>\n".encode()
    return bytes(out + f"startxref\n{table}\n%%EOF\n".encode())


def _escaped(told: str) -> str:
    """A text as it may stand between brackets, its signs those of Windows-1252."""
    signs = told.encode("cp1252", "replace").decode("latin-1")
    return signs.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
