"""Where on earth a site is: country codes, time zones by their everyday names, rough boxes."""

from __future__ import annotations

import re
import zoneinfo
from difflib import get_close_matches
from functools import cache

from fleet.imports.complaints import CellError

_COUNTRY_WORDS = {
    "usa": "US", "united states": "US", "united states of america": "US", "u.s.": "US",
    "u.s.a.": "US", "america": "US", "canada": "CA", "mexico": "MX", "méxico": "MX",
    "united kingdom": "GB", "uk": "GB", "great britain": "GB", "england": "GB",
    "ireland": "IE", "germany": "DE", "deutschland": "DE", "france": "FR", "spain": "ES",
    "españa": "ES", "italy": "IT", "australia": "AU", "new zealand": "NZ",
}  # fmt: skip
_ZONE_WORDS = {
    "eastern": "America/New_York", "et": "America/New_York", "est": "America/New_York",
    "edt": "America/New_York", "central": "America/Chicago", "ct": "America/Chicago",
    "cst": "America/Chicago", "cdt": "America/Chicago", "mountain": "America/Denver",
    "mt": "America/Denver", "mst": "America/Denver", "mdt": "America/Denver",
    "arizona": "America/Phoenix", "pacific": "America/Los_Angeles", "pt": "America/Los_Angeles",
    "pst": "America/Los_Angeles", "pdt": "America/Los_Angeles", "alaska": "America/Anchorage",
    "akst": "America/Anchorage", "hawaii": "Pacific/Honolulu", "hst": "Pacific/Honolulu",
}  # fmt: skip
_CONTINENTS = frozenset(
    {"Africa", "America", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific"}
)
# Latitude low, high, longitude low, high: generous, from memory; only ever a warning.
_BOXES = {
    "US": (18.0, 72.0, -180.0, -65.0), "CA": (41.0, 84.0, -142.0, -52.0),
    "MX": (14.0, 33.0, -119.0, -86.0), "GB": (49.0, 61.0, -9.0, 2.0),
    "IE": (51.0, 56.0, -11.0, -5.0), "DE": (47.0, 55.5, 5.5, 15.5), "FR": (41.0, 51.5, -5.5, 10.0),
    "ES": (27.0, 44.0, -19.0, 5.0), "IT": (35.0, 47.5, 6.0, 19.0),
    "AU": (-44.0, -9.0, 112.0, 154.0), "NZ": (-48.0, -34.0, 165.0, 180.0),
}  # fmt: skip


def read_country(text: str) -> str:
    """Two capital letters of ISO 3166-1 form, from the code or a country's usual name."""
    word = " ".join(text.split()).casefold()
    code = _COUNTRY_WORDS.get(word, text.strip().upper())
    if len(code) == 2 and code.isascii() and code.isalpha():
        return "GB" if code == "UK" else code
    raise CellError("country_unknown")


def read_zone(text: str) -> str:
    """A zone of the tz database, from its name or from what North Americans call it."""
    name = text.strip()
    zone = _zones().get(name.casefold().replace(" ", "_"))
    if zone:
        return zone
    word = name.casefold().removesuffix(" time").removesuffix(" standard").strip()
    if word in _ZONE_WORDS:
        return _ZONE_WORDS[word]
    near = _near_zone(name)
    raise CellError("zone_near", zone=near) if near else CellError("zone_unknown")


def _near_zone(name: str) -> str:
    """The zone a slip of the pen or a bare city may have meant, else nothing."""
    names = {name: zone for name, zone in _zones().items() if zone.partition("/")[0] in _CONTINENTS}
    names |= {zone.rpartition("/")[2].casefold(): zone for zone in names.values()} | _ZONE_WORDS
    # no city stands for an offset such as UTC-5 or GMT
    word = (
        "" if re.search(r"\d|^(utc|gmt)\b", name.casefold()) else name.casefold().replace(" ", "_")
    )
    near = get_close_matches(word, names, n=1, cutoff=0.75)
    return names[near[0]] if near else ""


def doubt_about_place(country: str, latitude: float, longitude: float) -> str:
    """``swapped``, ``outside`` or nothing; an unknown country raises no doubt."""
    box = _BOXES.get(country)
    if box is None or _inside(box, latitude, longitude):
        return ""
    for north, east in ((longitude, latitude), (latitude, -longitude), (longitude, -latitude)):
        if _inside(box, north, east):
            return "swapped" if north == longitude else "sign"
    return "outside"


def _inside(box: tuple[float, float, float, float], latitude: float, longitude: float) -> bool:
    south, north, west, east = box
    return south <= latitude <= north and west <= longitude <= east


@cache
def _zones() -> dict[str, str]:
    """Names by their lower-case form; offsets such as EST5 or Etc/GMT+5 know no clock changes."""
    names = zoneinfo.available_timezones()
    return {n.casefold(): n for n in names if "/" in n and not n.startswith("Etc/")} | {
        "utc": "UTC"
    }
