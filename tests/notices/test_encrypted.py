"""Letters go encrypted, to a server that proves who it is, or not at all: over real TLS."""

from __future__ import annotations

import ssl
import subprocess
from pathlib import Path

import pytest
from pytest_django.fixtures import Settings

from config.env import read_mail
from schedules.models import Notice
from tests.notices.letters import mail_server
from tests.notices.test_sending import owe, send

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="session")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Of ``localhost``, signed by itself, its key in the same file."""
    file = tmp_path_factory.mktemp("tls") / "localhost.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2",
         "-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost",
         "-keyout", file.with_suffix(".key"), "-out", file],
        check=True, capture_output=True,
    )  # fmt: skip
    return file


@pytest.fixture
def context(certificate: Path) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, certificate.with_suffix(".key"))
    return context


@pytest.fixture(params=["smtp+starttls", "smtps"])
def scheme(request: pytest.FixtureRequest) -> str:
    """RFC 3207, and RFC 8314 with TLS from the first byte."""
    return str(request.param)


def reach_by(scheme: str, settings: Settings, environment: pytest.MonkeyPatch) -> None:
    """What MAIL_URL with this scheme sets, but for host and port."""
    environment.setenv("MAIL_URL", f"{scheme}://localhost")
    told = read_mail("MAIL_URL")
    assert told
    settings.EMAIL_USE_TLS, settings.EMAIL_USE_SSL = told.starttls, told.tls


def test_letter_when_the_server_is_known_then_arrives_encrypted(
    scheme: str, context: ssl.SSLContext, certificate: Path, settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    owe()
    reach_by(scheme, settings, monkeypatch)
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
    with mail_server(scheme=scheme, tls=context) as inbox:
        send()
    assert (len(inbox.taken), inbox.encrypted) == (1, [True])


def test_letter_when_the_servers_certificate_is_unknown_then_waits(
    scheme: str, context: ssl.SSLContext, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    owe()
    reach_by(scheme, settings, monkeypatch)
    with mail_server(scheme=scheme, tls=context) as inbox:
        send()
    assert (inbox.taken, Notice.objects.get().sent_at) == ([], None)


def test_letter_when_the_server_offers_no_encryption_then_waits(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    owe()
    reach_by("smtp+starttls", settings, monkeypatch)
    with mail_server() as inbox:
        send()
    assert (inbox.taken, Notice.objects.get().sent_at) == ([], None)
