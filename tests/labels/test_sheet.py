"""Labels: what the printed sheet says to a scanner and to a reader, and who may print one.

The codes are read back by zxing-cpp from what the PDF draws, the text by pypdf.
"""

from __future__ import annotations

import re
from io import BytesIO
from unicodedata import normalize

import pytest
import zxingcpp
from axe_playwright_python.sync_playwright import Axe
from django.test import override_settings
from fontTools.ttLib import TTFont
from PIL import Image, ImageDraw, ImageFont
from playwright.sync_api import Page
from pypdf import PageObject, PdfReader

from fleet.models import Fan, Person
from tests.people import Roofs, sign_in, signed_in

pytestmark = pytest.mark.django_db
BOX = re.compile(r"^([\d.]+) ([\d.]+) ([\d.]+) ([\d.]+) re f$", re.MULTILINE)
HOME = "https://roofs.example"
SCALE = 3


def drawn(page: PageObject) -> Image.Image:
    """The page's black boxes on white, ``SCALE`` dots to a point."""
    wide, high = (float(each) * SCALE for each in page.mediabox[2:])
    image = Image.new("L", (round(wide), round(high)), 255)
    pen = ImageDraw.Draw(image)
    contents = page.get_contents()
    assert contents is not None
    for told in BOX.findall(contents.get_data().decode("latin-1")):
        x, y, w, h = (float(each) * SCALE for each in told)
        pen.rectangle([round(x), round(high - y - h), round(x + w) - 1, round(high - y) - 1], 0)
    return image


def asked(person: Person, fan: Fan, query: str = "") -> PdfReader:
    told = signed_in(person).get(f"/sites/{fan.site_id}/labels.pdf{query}")
    assert told["Content-Type"] == "application/pdf"
    return PdfReader(BytesIO(told.content))


@override_settings(PUBLIC_URL=HOME)
def test_labels_when_scanned_then_each_opens_its_fan(roofs: Roofs, theo: Person) -> None:
    fan = roofs.bakery
    for number in range(13):
        Fan.objects.create(site=fan.site, system=fan.system, tag=f"X-{number:02}",
                           entered_on=fan.entered_on)  # fmt: skip
    pages = asked(theo, fan).pages
    found = {code.text for page in pages for code in zxingcpp.read_barcodes(drawn(page))}
    fans = Fan.objects.filter(site=fan.site).values_list("pk", flat=True)
    assert len(pages) == 2
    assert found == {f"{HOME}/round/fan/{pk}/" for pk in fans}


@override_settings(PUBLIC_URL=HOME)
def test_labels_when_read_then_tag_site_and_address(roofs: Roofs, theo: Person) -> None:
    roofs.bakery.tag = "EF (north) \\ 1 é"
    roofs.bakery.save()
    text = asked(theo, roofs.bakery, "?paper=a4").pages[0].extract_text()
    for told in ("EF (north) \\ 1 é", "Alder Bakery", f"{HOME}/round/fan/{roofs.bakery.pk}/"):
        assert told in text


NAMES = {
    "Polish": "Łódź żółta gęś",
    "Vietnamese": "Phở Tiến Lực ượ",
    "Vietnamese, taken apart": normalize("NFD", "Phở Tiến"),
    "Greek": "Ταβέρνα Ελένης",
    "Cyrillic": "Київський вареник",
    "Turkish": "Şişli Ğ ı",
}


def faces_in(page: PageObject) -> dict[str, TTFont]:
    """The font files put in, by the name that the page's lines are set in."""
    found = {}
    for name, font in page["/Resources"]["/Font"].items():
        if font["/Subtype"] == "/Type0":
            told = font["/DescendantFonts"][0]["/FontDescriptor"]["/FontFile2"]
            found[name] = TTFont(BytesIO(told.get_data()))
    return found


def set_in_faces(page: PageObject) -> list[str]:
    """Lines set in those fonts, each glyph read by the font's own table of signs."""
    contents = page.get_contents()
    assert contents is not None
    lines = re.findall(rb"BT (/\w+) \S+ Tf .*? Td <(\w+)> Tj", contents.get_data())
    told = []
    for name, glyphs in lines:
        face = faces_in(page)[name.decode()]
        signs = {face.getGlyphID(glyph): chr(code) for code, glyph in face.getBestCmap().items()}
        numbers = [int(glyphs[at : at + 4], 16) for at in range(0, len(glyphs), 4)]
        told.append("".join(signs[number] for number in numbers))
    return told


@pytest.mark.parametrize("language", NAMES)
def test_labels_when_a_name_is_in_other_letters_then_they_are_printed(
    language: str, roofs: Roofs, theo: Person
) -> None:
    """Read back by pypdf from what copying tells, and glyph by glyph from the fonts put in."""
    name = normalize("NFC", NAMES[language])
    roofs.bakery.site.name = roofs.bakery.tag = NAMES[language]
    roofs.bakery.site.save()
    roofs.bakery.save()
    pdf = asked(theo, roofs.bakery)
    (page,) = pdf.pages
    assert (page.extract_text().count(name), set_in_faces(page)) == (2, [name, name])
    assert pdf.metadata is not None
    assert pdf.metadata.title == NAMES[language]


def test_labels_when_no_name_needs_one_then_no_font_is_put_in(roofs: Roofs, theo: Person) -> None:
    (page,) = asked(theo, roofs.bakery).pages
    assert faces_in(page) == {}


def test_labels_when_a_name_needs_one_then_the_file_holds_its_signs_alone(
    roofs: Roofs, theo: Person
) -> None:
    roofs.bakery.tag = "Łódź"
    roofs.bakery.save()
    (page,) = asked(theo, roofs.bakery).pages
    (face,) = faces_in(page).values()
    outlines = [name for name in face.getGlyphOrder() if face["glyf"][name].numberOfContours]
    assert 4 <= len(outlines) <= 12  # letters are put together of others
    file = BytesIO()
    face.save(file)
    left, top, right, bottom = ImageFont.truetype(BytesIO(file.getvalue()), 40).getbbox("Łódź")
    assert (right - left > 60, bottom - top > 20) == (True, True)  # FreeType draws it


@pytest.mark.parametrize(
    ("name", "printed", "unshown"),
    [
        ("東京 Łódź", "?? Łódź", ["東", "京"]),
        ("مطعم", "????", ["م", "ط", "ع"]),
        ("Łódź", "Łódź", []),
    ],
)
def test_labels_when_signs_have_no_font_then_question_marks_and_the_page_says_so(
    name: str, printed: str, unshown: list[str], roofs: Roofs, theo: Person
) -> None:
    roofs.bakery.site.name = name
    roofs.bakery.site.save()
    said = signed_in(theo).get(f"/sites/{roofs.bakery.site_id}/labels/").content.decode()
    assert printed in asked(theo, roofs.bakery).pages[0].extract_text()
    assert ("that our fonts lack" in said) == bool(unshown)
    listed = said.partition("that our fonts lack: ")[2].partition(". Give")[0].split()
    assert set(listed) == set(unshown)


def test_labels_when_paper_is_unknown_then_404(roofs: Roofs, theo: Person) -> None:
    address = f"/sites/{roofs.bakery.site_id}/labels.pdf"
    asked = [signed_in(theo).get(address + query).status_code for query in ("?paper=a0", "?fan=9x")]
    assert asked == [404, 404]


@pytest.mark.parametrize("address", ["/sites/{}/labels/", "/sites/{}/labels.pdf"])
def test_labels_when_asked_by_each_then_the_company_alone_prints(
    roofs: Roofs, mara: Person, dana: Person, theo: Person, olga: Person, sam: Person, address: str
) -> None:
    at = address.format(roofs.bakery.site_id)
    told = {each.username: signed_in(each).get(at).status_code
            for each in (mara, dana, theo, olga, sam)}  # fmt: skip
    assert told == {"mara": 200, "dana": 200, "theo": 200, "olga": 404, "sam": 404}


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_labels_page_when_opened_on_a_phone_then_readable_and_no_wider(
    page: Page, roofs: Roofs, theo: Person
) -> None:
    sign_in(page, theo)
    page.goto(f"/sites/{roofs.bakery.site_id}/labels/")
    found = Axe().run(page)
    assert found.response["violations"] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
