"""Labels laid out on sheets: tag, site, the code that opens the fan, its address to be typed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import segno
from django.conf import settings
from django.urls import reverse

from fleet.models import Fan, Site
from schedules.labels.pdf import BOLD, POINTS_PER_MM, Page, unshown_in, write_pdf

PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
COLUMNS, ROWS = 2, 6
MARGIN_MM, GAP_MM, CODE_MM = 12.0, 3.0, 36.0
QUIET = 4
"""Modules of white that a code needs around it; ISO/IEC 18004."""


@dataclass(frozen=True)
class Label:
    """What stands on one label; ``address`` is what its code says."""

    tag: str
    site: str
    place: str
    address: str


def label_of(fan: Fan) -> Label:
    """A fan's label; its site and system come with it."""
    place = ", ".join(filter(None, [fan.system.name, fan.place]))
    return Label(fan.tag, fan.site.name, place, fan_address(fan))


def fan_address(fan: Fan) -> str:
    """Where a phone finds the fan: signing in is asked there, so the label gives nothing away."""
    return f"{settings.PUBLIC_URL}{reverse('round_fan_page', args=[fan.pk])}"


def unshown_signs(fans: Iterable[Fan]) -> list[str]:
    """Signs in what labels say that no font of ours has."""
    labels = [label_of(fan) for fan in fans]
    texts = {text for each in labels for text in (each.tag, each.site, each.place)}
    return sorted(set().union(*map(unshown_in, texts)))


def site_labels(site: Site, fans: Iterable[Fan], paper: str) -> bytes:
    """A PDF with a label for each fan; KeyError for paper that we have no size of."""
    return write_pdf(list(_pages([label_of(fan) for fan in fans], *PAPERS[paper])), site.name)


def _pages(labels: Sequence[Label], width_mm: float, height_mm: float) -> Iterator[Page]:
    left = iter(labels)
    while batch := list(islice(left, COLUMNS * ROWS)):
        page = Page(width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM)
        wide = (width_mm - 2 * MARGIN_MM) / COLUMNS
        high = (height_mm - 2 * MARGIN_MM) / ROWS
        for at, label in enumerate(batch):
            row, column = divmod(at, COLUMNS)
            x, top = MARGIN_MM + column * wide, height_mm - MARGIN_MM - row * high
            _draw(page, label, (x, top - high, wide, high))
        yield page


def _draw(page: Page, label: Label, cell: tuple[float, float, float, float]) -> None:
    x, y, wide, high = (each * POINTS_PER_MM for each in cell)
    gap, code = GAP_MM * POINTS_PER_MM, CODE_MM * POINTS_PER_MM
    page.frame(x, y, wide, high)
    _code(page, label.address, x + gap, y + high - gap - code, code)
    beside, room = x + code + 2 * gap, wide - code - 3 * gap
    top = y + high - gap
    page.text(beside, top - 22, label.tag, 24, font=BOLD, room=room)
    page.text(beside, top - 42, label.site, 12, room=room)
    page.text(beside, top - 57, label.place, 10, room=room)
    page.text(x + gap, y + 5, label.address, 7, room=wide - 2 * gap)


def _code(page: Page, address: str, x: float, y: float, size: float) -> None:
    """The code in a square with the white around it that it needs, rows of modules as boxes."""
    matrix = segno.make(address, error="m", micro=False).matrix
    module = size / (len(matrix) + 2 * QUIET)
    for row, modules in enumerate(matrix):
        top = y + size - (QUIET + row + 1) * module
        for begin, length in _runs(modules):
            page.box(x + (QUIET + begin) * module, top, length * module, module)


def _runs(modules: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Where dark modules begin in a row, and how many follow each other."""
    begin: int | None = None
    for at, dark in enumerate([*modules, 0]):
        if dark and begin is None:
            begin = at
        elif not dark and begin is not None:
            yield begin, at - begin
            begin = None
