"""The little of a PDF that labels need: pages of boxes, lines and text; pure.

ISO 32000-1: objects, a table of where they begin, streams deflated.  Lengths are in points, from
the lower left corner.  A line of the signs of Windows-1252 is set in the standard fonts, which no
file holds; any other in a typeface of which the signs used are put in, and "?" for what it lacks.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from unicodedata import normalize

from schedules.labels.face import Face, load_face

POINTS_PER_MM = 72 / 25.4
REGULAR, BOLD = "F1", "F2"
FONTS = {REGULAR: "Helvetica", BOLD: "Helvetica-Bold"}
WIDEST = 0.62
"""Of a text's signs on average [em], capitals and figures: with that a line is surely short."""


@dataclass
class Page:
    """One page, drawn on; ``used`` are the signs set in a typeface, by font and glyph."""

    width: float
    height: float
    marks: list[str] = field(default_factory=list)
    used: dict[str, dict[int, str]] = field(default_factory=dict)

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
        told = normalize("NFC", told)
        if is_standard(told):
            shown, wide = f"({_escaped(told)})", WIDEST * len(told)
        else:
            face = face_of(font)
            shown, wide = self._in_face(told, font, face), face.width_of(told)
            font = _embedded(font)
        if room and told:
            size = min(size, room / wide)
        self.marks.append(f"BT /{font} {size:.2f} Tf {x:.3f} {y:.3f} Td {shown} Tj ET")

    def _in_face(self, told: str, font: str, face: Face) -> str:
        glyphs = [face.glyph_of(sign) for sign in told]
        signs = (sign if face.shows(sign) else "?" for sign in told)
        self.used.setdefault(font, {}).update(zip(glyphs, signs, strict=True))
        return f"<{''.join(f'{glyph:04x}' for glyph in glyphs)}>"


def is_standard(told: str) -> bool:
    """Whether the standard fonts have every sign."""
    try:
        told.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def unshown_in(told: str) -> set[str]:
    """The signs of a line that will be printed as a question mark."""
    told = normalize("NFC", told)
    return set() if is_standard(told) else {s for s in told if not face_of(REGULAR).shows(s)}


def face_of(font: str) -> Face:
    """The typeface that stands in for one of the standard fonts."""
    return load_face(bold=font == BOLD)


def _embedded(font: str) -> str:
    return f"{font}E"


def write_pdf(pages: Sequence[Page], title: str) -> bytes:
    """The whole file."""
    objects: list[bytes] = [b"<< /Type /Catalog /Pages 2 0 R >>", b""]
    fonts: list[str] = []
    for name, base in FONTS.items():
        objects.append(_font(base))
        fonts.append(f"/{name} {len(objects)} 0 R")
    for name, used in _used_in(pages).items():
        objects += _face_objects(face_of(name), used, len(objects) + 1)
        fonts.append(f"/{_embedded(name)} {len(objects)} 0 R")
    kids = []
    for page in pages:
        kids.append(f"{len(objects) + 1} 0 R")
        objects += [_page(page, " ".join(fonts), len(objects) + 2), _stream(_drawn(page))]
    objects[1] = f"<< /Type /Pages /Kids [{' '.join(kids)}] /Count {len(pages)} >>".encode()
    return _file([*objects, f"<< /Title {_title(title)} >>".encode("latin-1")])


def _used_in(pages: Iterable[Page]) -> dict[str, dict[int, str]]:
    found: dict[str, dict[int, str]] = {}
    for page in pages:
        for font, signs in page.used.items():
            found.setdefault(font, {}).update(signs)
    return found


def _font(name: str) -> bytes:
    told = f"<< /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>"
    return told.encode()


def _face_objects(face: Face, used: Mapping[int, str], first: int) -> list[bytes]:
    """File, measures, glyphs, their signs, and last the font of all four (ISO 32000-1, 9.7)."""
    name, box = f"ROOFAA+{face.name}", " ".join(map(str, face.box))
    widths = " ".join(f"{glyph} [{face.widths[glyph]}]" for glyph in sorted(used))
    file = face.part(used)
    return [
        _stream(file, f"/Length1 {len(file)} "),
        f"<< /Type /FontDescriptor /FontName /{name} /Flags 4 /FontBBox [{box}] /ItalicAngle 0 "
        f"/Ascent {face.ascent} /Descent {face.descent} /CapHeight {face.ascent} /StemV 80 "
        f"/FontFile2 {first} 0 R >>".encode(),
        f"<< /Type /Font /Subtype /CIDFontType2 /BaseFont /{name} /CIDToGIDMap /Identity "
        f"/CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> "
        f"/FontDescriptor {first + 1} 0 R /W [{widths}] >>".encode(),
        _stream("\n".join(_signs(used)).encode()),
        f"<< /Type /Font /Subtype /Type0 /BaseFont /{name} /Encoding /Identity-H "
        f"/DescendantFonts [{first + 2} 0 R] /ToUnicode {first + 3} 0 R >>".encode(),
    ]  # fmt: skip


def _signs(used: Mapping[int, str]) -> Iterator[str]:
    """Which sign each glyph is, for whoever copies or searches (ISO 32000-1, 9.10.3)."""
    yield "/CIDInit /ProcSet findresource begin 12 dict begin begincmap"
    yield "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def"
    yield "/CMapName /Signs def /CMapType 2 def"
    yield "1 begincodespacerange <0000> <ffff> endcodespacerange"
    for glyph, sign in sorted(used.items()):
        yield f"1 beginbfchar <{glyph:04x}> <{sign.encode('utf-16-be').hex()}> endbfchar"
    yield "endcmap CMapName currentdict /CMap defineresource pop end end"


def _page(page: Page, fonts: str, content: int) -> bytes:
    return (
        f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {page.width:.3f} {page.height:.3f}] "
        f"/Resources << /Font << {fonts} >> >> /Contents {content} 0 R >>"
    ).encode()


def _drawn(page: Page) -> bytes:
    return "\n".join(page.marks).encode("latin-1")


def _stream(data: bytes, more: str = "") -> bytes:
    told = zlib.compress(data)
    head = f"<< {more}/Length {len(told)} /Filter /FlateDecode >>".encode()
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


def _title(told: str) -> str:
    if is_standard(told):
        return f"({_escaped(told)})"
    return f"<feff{told.encode('utf-16-be').hex()}>"


def _escaped(told: str) -> str:
    """A text as it may stand between brackets, its signs those of Windows-1252."""
    signs = told.encode("cp1252").decode("latin-1")
    return signs.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
