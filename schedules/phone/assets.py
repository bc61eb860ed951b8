"""The files of the phone's page: where they are served, and one version for all of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils import translation
from django.views.i18n import JSONCatalog

FOLDER = "schedules/phone"
WORKER, SHELL = f"{FOLDER}/worker.js", "schedules/phone/round.html"
BESIDE = ("mark.svg",)
FETCHED = frozenset({".js", ".css", ".svg", ".png", ".woff2"})
"""What a browser asks for; licences lie beside it for people."""


@dataclass(frozen=True)
class Assets:
    """Addresses of everything but the shell, the worker's own text, and the version of all."""

    version: str
    addresses: tuple[str, ...]
    worker: str


def assets() -> Assets:
    """As served now; read anew at each call only while files may change."""
    return _read() if settings.DEBUG else _kept()


@lru_cache(maxsize=1)
def _kept() -> Assets:
    return _read()


def _read() -> Assets:
    names = [*_names(), *BESIDE]
    words = [words_address(code) for code, _ in settings.LANGUAGES]
    manifest = reverse("round_manifest")
    addresses = (*(static(name) for name in names), *words, manifest)
    return Assets(_version(names, addresses), addresses, _text(WORKER))


def words_address(language: str) -> str:
    """Where the page's words in a language are."""
    return reverse("round_words", args=[language])


def _names() -> Iterator[str]:
    """Files of the folder, by the names that templates give them."""
    found = finders.find(FOLDER)
    folder = Path(found) if found else None
    for path in sorted(folder.rglob("*")) if folder else ():
        name = f"{FOLDER}/{path.relative_to(folder).as_posix()}" if folder else ""
        if path.suffix in FETCHED and name != WORKER:
            yield name


def _text(name: str) -> str:
    found = finders.find(name)
    return Path(found).read_text() if found else ""


def _version(names: list[str], addresses: tuple[str, ...]) -> str:
    """Another one where any byte of a file, an address, the shell or a translation differs."""
    told = blake2b(repr(addresses).encode(), digest_size=8)
    for name in (*names, WORKER):
        told.update(_text(name).encode())
    told.update(render_to_string(SHELL, {"version": ""}).encode())
    for language, _ in settings.LANGUAGES:
        told.update(words_in(language))
    return told.hexdigest()


def words_in(language: str) -> bytes:
    """The page's words, as Django's catalogue for scripts has them (JSON)."""
    asked = HttpRequest()
    asked.method = "GET"
    with translation.override(language):
        told = JSONCatalog.as_view(packages=["schedules"])(asked)
    return bytes(getattr(told, "content", b""))
