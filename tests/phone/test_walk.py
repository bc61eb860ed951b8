"""A clean walk with every tap a tap: how many it takes, and how long the page takes over each."""

from __future__ import annotations

import json
import os
from pathlib import Path
from statistics import median
from time import monotonic
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from fleet.models import Fan
from tests.phone.walks import SENT, begin, go, open_label, wait_for_all

MOST_TAPS = 10
"""Four places by their buttons, the switch and whether it runs by themselves, four for the way."""
THROTTLE = int(os.environ.get("PHONE_CPU", "1"))
"""How much slower the processor is made to be: PHONE_CPU=6 for a slow phone."""
WATCH = """() => {
    window.taps = 0; window.waits = []; window.draws = [];
    let tapped = 0;
    document.addEventListener('click', ({ isTrusted, timeStamp }) => {
        window.taps += isTrusted; tapped = timeStamp;
    }, true);
    new MutationObserver(() => {
        const since = tapped; tapped = 0;
        if (since) requestAnimationFrame(() => setTimeout(() =>
            window.draws.push(Math.round(performance.now() - since))));
    }).observe(document.querySelector('main'), { childList: true });
    new PerformanceObserver((seen) => seen.getEntries().forEach((each) => {
        if (each.interactionId) window.waits.push(each.duration);
    })).observe({ type: 'event', durationThreshold: 16, buffered: true });
}"""
pytestmark = [pytest.mark.browser, pytest.mark.once, pytest.mark.django_db(transaction=True)]


def test_clean_walk_when_every_tap_is_counted_then_ten_with_the_way(phone: Page, fan: Fan) -> None:
    open_label(phone, fan)
    phone.goto("/round/")
    expect(phone.locator(".fans a")).to_have_count(2)
    phone.evaluate(WATCH)
    phone.context.new_cdp_session(phone).send("Emulation.setCPUThrottlingRate", {"rate": THROTTLE})
    began = monotonic()
    phone.locator(".fans a").first.tap()
    phone.get_by_role("button", name="Begin").tap()
    expect(phone.locator(".steps [aria-current]")).to_have_text("Look")
    wait_for_all(phone)
    for place in phone.locator(".all-so").all():
        place.tap()
    phone.locator("[data-field=running] button").first.tap()
    phone.get_by_role("button", name="Next: summary").tap()
    phone.get_by_role("button", name="Keep and send").tap()
    expect(phone.locator(".line")).to_have_text(SENT)
    seconds = monotonic() - began
    taps, waits, draws = phone.evaluate("() => [window.taps, window.waits, window.draws]")
    tell_figures(waits, taps=taps, seconds=round(seconds, 1), steps_drawn_ms=draws)
    assert taps <= MOST_TAPS
    expect(phone.locator("main")).to_contain_text("EF-1 is on record.")
    expect(phone.locator("main")).not_to_contain_text("Not a complete walk-through")


def tell_figures(waits: list[float], **told: Any) -> None:
    """What it came to, a line for each test, where somebody wants to know.

    An interaction lasts until the next frame; a step may be drawn in a later one.
    """
    if file := os.environ.get("PHONE_FIGURES"):
        told |= {
            "cpu_slower_by": THROTTLE, "interactions_over_16_ms": len(waits),
            "longest_ms": max(waits, default=0), "median_ms": median(waits) if waits else 0,
        }  # fmt: skip
        with Path(file).open("a") as figures:
            figures.write(json.dumps(told) + "\n")


def test_key_when_pressed_then_shown_within_a_blink(phone: Page, fan: Fan) -> None:
    open_label(phone, fan)
    begin(phone)
    go(phone, fan, "tell")
    phone.evaluate(WATCH)
    phone.context.new_cdp_session(phone).send("Emulation.setCPUThrottlingRate", {"rate": THROTTLE})
    phone.get_by_label("Note").press_sequentially("Grease box full, lid bent", delay=40)
    waits = phone.evaluate("() => window.waits")
    tell_figures(waits, keys=25)
    assert max(waits, default=0) < 500
