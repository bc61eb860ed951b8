"""A browser that may be killed in mid-word."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page

from tests.conftest import CHROMIUM, CHROMIUM_ARGS


@contextmanager
def own_chromium(chromium: Browser, folder: Path) -> Iterator[tuple[Page, subprocess.Popen[bytes]]]:
    """A browser of its own whose data lies in that folder, as a process that may be killed."""
    command = [CHROMIUM, "--headless=new", *CHROMIUM_ARGS, f"--user-data-dir={folder}"]
    port = folder / "DevToolsActivePort"
    port.unlink(missing_ok=True)
    process = subprocess.Popen(
        [*command, "--remote-debugging-port=0", "about:blank"],
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stderr
    said = next(
        each for each in iter(process.stderr.readline, b"") if b"DevTools listening" in each
    )
    browser = chromium.browser_type.connect_over_cdp(said.decode().split()[-1])
    context = browser.contexts[0]
    try:
        yield context.new_page(), process
    finally:
        process.kill()
        process.wait()
        process.stderr.close()
