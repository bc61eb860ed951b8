"""Links lead where ``serve`` listens, unless somebody said otherwise."""

from __future__ import annotations

import pytest
from pytest_django import Settings

from schedules.management.commands.serve import public_url


@pytest.mark.parametrize(
    ("host", "port", "told", "leads"),
    [
        ("127.0.0.1", 8731, "", "http://127.0.0.1:8731"),
        # RFC 3986, section 3.2.2: an address of IPv6 stands in brackets
        ("::1", 8000, "", "http://[::1]:8000"),
        ("127.0.0.1", 8731, "https://fans.example", "https://fans.example"),
    ],
)
def test_link_when_served_somewhere_then_leads_there(
    settings: Settings, monkeypatch: pytest.MonkeyPatch, host: str, port: int, told: str, leads: str
) -> None:
    monkeypatch.setenv("PUBLIC_URL", told)
    settings.PUBLIC_URL = told or "http://127.0.0.1:8000"
    assert public_url(host, port) == leads
