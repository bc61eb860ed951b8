"""What `serve` believes of a proxy before it, asked of the process itself."""

from __future__ import annotations

import os
import shutil
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from secrets import token_urlsafe
from typing import Any

import pytest
from django.test import RequestFactory

from config.api.signing_in import address_of, place_of
from tests.jobs.install import is_open, running, wait_for

Headers = dict[str, str]
BODY = '{"username": "ted", "password": "wrong", "name": "phone"}'


@contextmanager
def serving(root: Path, database: Path, folder: Path, **settings: str) -> Iterator[int]:
    """`serve` with a copy of that database; gives its port."""
    shutil.copy(database, folder)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    own = {"DATA_DIR": str(folder), "DATABASE_URL": "", "REDIS_URL": "", **settings}
    command = [sys.executable, "manage.py", "serve", "--port", str(port)]
    with running(command, cwd=root, env=os.environ | own):
        wait_for(lambda: is_open(port))
        yield port


def ask(port: int, method: str, path: str, headers: Headers, body: str | None = None) -> int:
    """The status of the answer."""
    sent = HTTPConnection("127.0.0.1", port, timeout=30)
    sent.request(method, path, body, {"Content-Type": "application/json", **headers})
    status = sent.getresponse().status
    sent.close()
    return status


def signing_in(port: int, address: str) -> int:
    return ask(port, "POST", "/api/v1/keys", {"X-Forwarded-For": address}, BODY)


@pytest.mark.parametrize(("behind", "then"), [("true", 401), ("false", 429)])
def test_sign_in_when_a_stranger_was_wrong_then_others_are_told_apart_only_by_a_proxy(
    root: Path, empty_database: Path, tmp_path: Path, behind: str, then: int
) -> None:
    with serving(root, empty_database, tmp_path, BEHIND_PROXY=behind) as port:
        stranger = [signing_in(port, "203.0.113.7, 198.51.100.9") for _ in range(6)]
        assert (stranger[-1], signing_in(port, "203.0.113.7")) == (429, then)


@pytest.mark.parametrize(("told", "address"), [
    ("203.0.113.7:51234", "203.0.113.7"), ("[2001:db8::7]:443", "2001:db8::7"),
    ("2001:db8::7", "2001:db8::7"), ("1.2.3.4, 203.0.113.7", "203.0.113.7"),
    ("unknown", "192.0.2.1"), ("", "192.0.2.1"), ("[", "192.0.2.1"), ("203.0.113.7:x", "192.0.2.1"),
])  # fmt: skip
def test_address_when_a_proxy_tells_it_then_without_its_port_or_the_proxy_s_own(
    rf: RequestFactory, settings: Any, told: str, address: str
) -> None:
    settings.BEHIND_PROXY = True
    asked = rf.get("/", headers={"X-Forwarded-For": told}, REMOTE_ADDR="192.0.2.1")
    assert address_of(asked) == address


# RFC 4291, 2.5.5.2 and RFC 6177.
@pytest.mark.parametrize(("address", "place"), [
    ("203.0.113.7", "203.0.113.7"), ("::ffff:203.0.113.7", "203.0.113.7"),
    ("2001:db8:1:2::9", "2001:db8:1:2::"), ("fe80::1%eth0", "fe80::"), ("", ""),
])  # fmt: skip
def test_place_then_what_one_household_shares_and_ipv4_told_as_ipv6_is_itself(
    address: str, place: str
) -> None:
    assert place_of(address) == place


def test_production_when_the_proxy_says_https_then_no_redirect_to_itself(
    root: Path, empty_database: Path, tmp_path: Path
) -> None:
    kind = {"PRODUCTION": "true", "SECRET_KEY": token_urlsafe(50), "ALLOWED_HOSTS": "127.0.0.1"}
    with serving(root, empty_database, tmp_path, BEHIND_PROXY="true", **kind) as port:
        told = [{"X-Forwarded-Proto": scheme} for scheme in ("https", "http")]
        answers = [ask(port, "GET", "/api/v1/due", headers) for headers in told]
    assert answers == [401, 301]
