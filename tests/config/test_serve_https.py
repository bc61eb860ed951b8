"""The one-process server with a certificate: what phones demand before they work without signal."""

from __future__ import annotations

import os
import shutil
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
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
    """What is answered there, as soon as anybody answers."""
    end = time.monotonic() + patience_s
    while True:
        try:
            with urlopen(address, context=trusted, timeout=10) as answer:
                return bytes(answer.read())
        except OSError:  # nobody listens yet, or nobody answers within the time
            if time.monotonic() > end:
                raise
            time.sleep(0.2)


@contextmanager
def serving(command: list[str], root: Path, data: Path) -> Iterator[None]:
    """While this runs; told to stop, it must end by itself."""
    kept = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
    server = subprocess.Popen([sys.executable, *command], cwd=root,
                              env=kept | {"DATA_DIR": str(data), "PYTHONPATH": str(root)},
                              stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)  # fmt: skip
    try:
        yield
        server.terminate()
        assert server.wait(70) == 0
    finally:
        server.kill()
        server.wait()


@pytest.fixture
def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


def test_serve_when_given_a_certificate_then_answers_by_https_and_stops(
    pair: tuple[Path, Path], root: Path, tmp_path: Path, free_port: int
) -> None:
    files = ["--certificate", str(pair[0]), "--key", str(pair[1])]
    command = ["manage.py", "serve", "--port", str(free_port), *files]
    with serving(command, root, tmp_path):
        trusted = ssl.create_default_context(cafile=pair[0])
        assert asked(f"https://localhost:{free_port}/healthz", trusted) == b"ok\n"
        assert b"self.ROUND" in asked(f"https://localhost:{free_port}/round/sw.js", trusted)


BESIDE_A_THREAD_THAT_IMPORTS = """
import sys, threading
from importlib import import_module
from importlib.util import spec_from_loader
from pathlib import Path
from config.https import https_server

class NeverLoaded:
    def find_spec(self, name, path=None, target=None):
        return spec_from_loader(name, self) if name == "config.urls" else None

    def create_module(self, spec):
        return None

    def exec_module(self, module):
        importing.set()
        threading.Event().wait()

if __name__ == "__main__":
    importing = threading.Event()
    sys.meta_path.insert(0, NeverLoaded())
    threading.Thread(target=import_module, args=["config.urls"], daemon=True).start()
    importing.wait()
    port, certificate, key = sys.argv[1:]
    https_server(host="127.0.0.1", port=int(port), threads=2, certificate=Path(certificate),
                 key=Path(key), public_url=f"https://localhost:{port}").serve()
"""


def test_https_when_a_thread_is_importing_what_answers_then_answers_all_the_same(
    pair: tuple[Path, Path], root: Path, tmp_path: Path, free_port: int
) -> None:
    # the timetable's thread imports its jobs meanwhile: a copy of it would wait for them for ever
    script = tmp_path / "beside.py"
    script.write_text(BESIDE_A_THREAD_THAT_IMPORTS)
    with serving([str(script), str(free_port), *map(str, pair)], root, tmp_path):
        trusted = ssl.create_default_context(cafile=pair[0])
        page = asked(f"https://localhost:{free_port}/login/", trusted, patience_s=60)
        assert b"<html" in page
