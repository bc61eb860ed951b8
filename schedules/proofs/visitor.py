"""Somebody with a browser: cookies are kept, redirects followed, forms sent as they stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from html.parser import HTMLParser
from http.cookiejar import CookieJar
from urllib.error import HTTPError
from urllib.parse import urlencode, urljoin
from urllib.request import HTTPCookieProcessor, Request, build_opener

PATIENCE_S = 30
TYPED = ("hidden", "text", "date", "time", "password", "number", "email")


@dataclass
class Form:
    """Where it goes, and what it would send untouched."""

    action: str
    fields: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Page:
    """What was answered, and from where after all redirects."""

    address: str
    text: str
    forms: tuple[Form, ...]
    links: tuple[str, ...]

    def form(self, part: str) -> Form:
        """The form whose address holds this; ValueError where there is none."""
        for form in self.forms:
            if part in urljoin(self.address, form.action):
                return form
        raise ValueError(f"{self.address} has no form for {part}")


class _Reader(HTMLParser):
    """Forms that are posted, and links."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.links: list[str] = []
        self._form: Form | None = None
        self._choice = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._form = Form(told.get("action", ""))
            self.forms.append(self._form)
        elif tag == "a":
            self.links.append(told.get("href", ""))
        elif self._form is not None:
            self._read_field(self._form, tag, told)

    def _read_field(self, form: Form, tag: str, told: Mapping[str, str]) -> None:
        name = told.get("name", "")
        if tag == "input" and name and told.get("type", "text") in TYPED:
            form.fields[name] = told.get("value", "")
        elif tag == "input" and "checked" in told:
            form.fields[name] = told.get("value", "on")
        elif tag in ("textarea", "select"):
            form.fields[name] = ""
            self._choice = name
        elif tag == "option" and "selected" in told:
            form.fields[self._choice] = told.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None


def read_page(address: str, text: str) -> Page:
    """An HTML page as it came from an address."""
    reader = _Reader()
    reader.feed(text)
    return Page(address, text, tuple(reader.forms), tuple(reader.links))


class Visitor:
    """One browser on a site."""

    def __init__(self, site: str) -> None:
        self._site = site
        self._opener = build_opener(HTTPCookieProcessor(CookieJar()))

    def open(self, address: str) -> Page:
        """The page there; ValueError for an answer that is none."""
        return self._ask(Request(urljoin(self._site, address)))  # noqa: S310  # our own server

    def send(self, page: Page, form: Form, **typed: str) -> Page:
        """What comes of the form, with these fields filled in, as from that page."""
        address = urljoin(page.address, form.action)
        data = urlencode({**form.fields, **typed}).encode()
        headers = {"Origin": self._site, "Referer": page.address}
        return self._ask(Request(address, data, headers))  # noqa: S310  # our own server

    def _ask(self, request: Request) -> Page:
        try:
            with self._opener.open(request, timeout=PATIENCE_S) as answer:
                text = answer.read().decode()
                address = answer.geturl()
        except HTTPError as error:
            said = error.read().decode(errors="replace")
            raise ValueError(f"{request.full_url} answered {error.code}: {said[-600:]}") from error
        return read_page(address, text)
