"""What a technician taps: a fan opened by its label, a clean walk, photos; what the line says."""

from __future__ import annotations

from io import BytesIO

from PIL import Image
from playwright.sync_api import Page, expect

from fleet.models import Fan

SENT = "Nothing unsent."
WAIT_FOR_WORKER = "() => navigator.serviceWorker.ready.then(() => true)"


def expect_line(page: Page, words: str) -> None:
    """The one line that says what is unsent."""
    expect(page.locator(".line")).to_contain_text(words)


def try_now(page: Page) -> None:
    """The phone has network again, or thinks so."""
    page.evaluate("() => dispatchEvent(new Event('online'))")


def open_label(page: Page, fan: Fan) -> None:
    """As a camera does that reads the label; ready to work offline from then on."""
    page.goto(f"/round/fan/{fan.pk}/")
    expect(page.locator("h1")).to_contain_text(fan.tag)
    wait_for_worker(page)


def wait_for_worker(page: Page) -> None:
    """From then on the page works offline."""
    page.evaluate(WAIT_FOR_WORKER)
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")


def go(page: Page, fan: Fan, step: str = "") -> None:
    """Go to a step of a fan within the page."""
    go_to(page, f"#/fan/{fan.pk}/{step}".rstrip("/"))
    expect(page.locator("h1")).to_contain_text(fan.tag)


def go_to(page: Page, address: str) -> None:
    """What stood there before has gone: nothing of it is tapped or read any more."""
    page.evaluate("to => { location.hash = to }", address)
    expect(page.locator(f'main[data-at="{address}"]')).to_be_attached()
    wait_for_all(page)


def open_kept(page: Page) -> None:
    """What is kept and sent."""
    go_to(page, "#/unsent")
    expect(page.locator("h1")).to_have_text("Kept and sent")


def wait_for_all(page: Page) -> None:
    """What lies below the first screen is drawn after it."""
    expect(page.locator("main:not([aria-busy])")).to_be_attached()


def begin(page: Page) -> None:
    page.get_by_role("button", name="Begin").click()
    expect(page.locator(".steps [aria-current]")).to_have_text("Look")
    wait_for_all(page)


LOOK = """() => document.querySelectorAll('.place .picks, [data-field=running] .picks')
    .forEach((row) => row.querySelector('button').click())"""


def look(page: Page) -> None:
    """The first answer of each thing to look at, at once, each by itself."""
    page.evaluate(LOOK)


def walk(page: Page, photos: int = 0) -> None:
    """A clean walk, from the look to the record in the queue."""
    begin(page)
    look(page)
    if photos:
        page.locator(".next").get_by_role("button", name="Tell").click()
        take_photos(page, photos)
    finish(page)


def finish(page: Page) -> None:
    """From the look to the record in the queue."""
    page.get_by_role("button", name="Next: summary").click()
    page.get_by_role("button", name="Keep and send").click()
    expect(page.locator("h1")).to_have_text("Kept and sent")


KEPT = """() => new Promise((resolve) => {
    const asked = indexedDB.databases().then((all) => {
        const name = all.map((each) => each.name).find((each) => /^round-[0-9]/.test(each));
        indexedDB.open(name).onsuccess = ({ target: { result } }) => {
            result.transaction('queue').objectStore('queue').getAll().onsuccess =
                ({ target }) => resolve(target.result.map((item) => item.body + item.app_version));
        };
    });
})"""


def kept(page: Page) -> list[str]:
    """Bodies of the records in the queue with the version of the page that made each."""
    told: list[str] = page.evaluate(KEPT)
    return told


def take_photos(page: Page, many: int) -> None:
    adder = page.locator("main > section .photos").last
    files = [
        {"name": f"{n}.png", "mimeType": "image/png", "buffer": picture(n)} for n in range(many)
    ]
    for place, file in enumerate(files, 1):
        adder.locator("input[type=file]").set_input_files(files=[file])
        expect(adder.locator("canvas")).to_have_count(place)


def picture(number: int) -> bytes:
    """A picture unlike the others."""
    data = BytesIO()
    Image.new("RGB", (320, 240), (number * 40 % 255, 90, 140)).save(data, "PNG")
    return data.getvalue()
