"""HTTPS from the process itself, where no proxy stands in front: granian, as containers run it."""

from __future__ import annotations

import multiprocessing
import os
import ssl
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

KILL_AFTER_S = 30


class HttpsError(Exception):
    """Why there can be no HTTPS, and what to do."""


def refuse_unusable(certificate: Path, key: Path) -> None:
    """HttpsError where granian is not installed, or the two files are no certificate with key."""
    if find_spec("granian") is None:
        raise HttpsError(
            "HTTPS is served by granian, which is not installed: "
            "pip install -r config/lock/hosts.txt, or put a proxy in front."
        )
    try:
        # asked for no password: a server that starts by itself has nobody to type one
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(certificate, key, password=lambda: "")
    except (OSError, ValueError) as error:  # ssl.SSLError is an OSError
        raise HttpsError(
            f"{certificate} and {key} are no certificate with its key ({error}). Give a PEM file "
            "with the whole chain, and its key without a password."
        ) from error


def https_server(
    *, host: str, port: int, threads: int, certificate: Path, key: Path, public_url: str
) -> Any:
    """A server whose ``serve()`` returns once it is told to stop (SIGTERM, Ctrl-C).

    It answers from a process of its own, which learns from the environment where links lead.
    That one starts anew instead of as a copy: a copy has the locks other threads held, for ever.
    """
    os.environ["PUBLIC_URL"] = public_url
    multiprocessing.set_start_method("spawn", force=True)
    granian = import_module("granian")
    codes = import_module("granian.constants")
    return granian.Granian(
        "config.wsgi:application", address=host, port=port, interface=codes.Interfaces.WSGI,
        workers=1, blocking_threads=threads, websockets=False, respawn_failed_workers=True,
        workers_kill_timeout=KILL_AFTER_S, log_level=import_module("granian.log").LogLevels.warning,
        ssl_cert=certificate, ssl_key=key, ssl_protocol_min=codes.SSLProtocols.tls12,
    )  # fmt: skip
