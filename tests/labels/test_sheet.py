"""Labels: what the printed sheet says to a scanner and to a reader, and who may print one.

The codes are read back by zxing-cpp from what the PDF draws, the text by pypdf.
"""

from __future__ import annotations

import re
from io import BytesIO

import pytest
import zxingcpp
from axe_playwright_python.sync_playwright import Axe
from django.test import override_settings
from PIL import Image, ImageDraw
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
