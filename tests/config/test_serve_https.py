"""The one-process server with a certificate: what phones demand before they work without signal."""

from __future__ import annotations

import os
import shutil
import socket
import ssl
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest

from config.https import HttpsError, refuse_unusable

OPENSSL = shutil.which("openssl")
ASKED = ["req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=localhost",
         "-addext", "subjectAltName=DNS:localhost"]  # fmt: skip


@pytest.fixture
def pair(tmp_path: Path) -> tuple[Path, Path]:
    """A certificate of our own for localhost, and its key."""
    if OPENSSL is None:
        pytest.skip("openssl is missing: apt-get install openssl")
    certificate, key = tmp_path / "certificate.pem", tmp_path / "key.pem"
    files = ["-out", str(certificate), "-keyout", str(key)]
    subprocess.run([OPENSSL, *ASKED, *files], check=True, capture_output=True)
    return certificate, key


def test_certificate_when_its_key_is_another_then_said_so(pair: tuple[Path, Path]) -> None:
    certificate, key = pair
    refuse_unusable(certificate, key)
    with pytest.raises(HttpsError, match="no certificate with its key"):
        refuse_unusable(certificate, certificate)
    with pytest.raises(HttpsError, match="No such file"):
        refuse_unusable(certificate, key.with_name("nowhere.pem"))


def asked(address: str, trusted: ssl.SSLContext, patience_s: float = 90) -> bytes:
    """What is answered there, as soon as anybody is."""
    end = time.monotonic() + patience_s
    while True:
        try:
            with urlopen(address, context=trusted, timeout=10) as answer:
                return bytes(answer.read())
        except URLError:
            if time.monotonic() > end:
                raise
            time.sleep(0.2)


def test_serve_when_given_a_certificate_then_answers_by_https_and_stops(
    pair: tuple[Path, Path], root: Path, tmp_path: Path
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    kept = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
    files = ["--certificate", str(pair[0]), "--key", str(pair[1])]
    command = [sys.executable, "manage.py", "serve", "--port", str(port), *files]
    server = subprocess.Popen(command, cwd=root, env=kept | {"DATA_DIR": str(tmp_path)},
                              stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)  # fmt: skip
    try:
        trusted = ssl.create_default_context(cafile=pair[0])
        assert asked(f"https://localhost:{port}/healthz", trusted) == b"ok\n"
        assert b"self.ROUND" in asked(f"https://localhost:{port}/round/sw.js", trusted)
    finally:
        server.terminate()
    assert server.wait(70) == 0
