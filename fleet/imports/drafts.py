"""Rows of fans gathered into owners, sites and systems; rows that contradict each other told."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fleet.imports.places import doubt_about_place
from fleet.imports.register import Place, Register
from fleet.imports.rows import FanRow, RowReader
from fleet.imports.values import field_values, name_key

ZONE = ("site", "time_zone")
_NAMES = {"owner": "name", "site": "name", "system": "name", "fan": "tag"}


@dataclass(slots=True)
class Draft:
    """What a file says of one owner, agreement, site, system or fan.

    ``row`` is where it is first named, ``told`` where each field was first said and in which words.
    """

    part: str
    place: Place
    row: int
    values: dict[str, Any] = field(default_factory=dict)
    told: dict[str, tuple[int, str]] = field(default_factory=dict)


@dataclass(slots=True)
class FanDraft(Draft):
    """A fan with its system's place and what is said of machine and feed."""

    system: Place = ()
    machine: dict[str, Any] = field(default_factory=dict)
    feed: dict[str, Any] = field(default_factory=dict)


@dataclass(slots=True)
class Drafts:
    """Everything a file says, by place."""

    owners: dict[Place, Draft] = field(default_factory=dict)
    agreements: dict[Place, Draft] = field(default_factory=dict)
    sites: dict[Place, Draft] = field(default_factory=dict)
    systems: dict[Place, Draft] = field(default_factory=dict)
    fans: dict[Place, FanDraft] = field(default_factory=dict)


def places_of(rows: list[FanRow]) -> list[Place]:
    """The (owner, site) places that rows name; rows without either name are complained of."""
    return [place for row in rows if len(place := _site_place(row)) == 2]


def _site_place(row: FanRow) -> Place:
    names = row.said(("owner", "name"), ("site", "name"))
    return tuple(name_key(name) for name in names if name)


class Gatherer:
    """Gathers rows into drafts; what is on record tells the system of a fan that names none."""

    def __init__(self, reader: RowReader, register: Register) -> None:
        self.reader, self.register = reader, register
        self.drafts = Drafts()
        self.misread_zones: set[Place] = set()

    def gather(self, rows: list[FanRow]) -> Drafts:
        """Drafts of all rows that name owner, site and tag."""
        for row in rows:
            site = _site_place(row)
            (tag,) = row.said(("fan", "tag"))
            if len(site) == 2 and tag:
                self._gather_row(row, site, tag)
        self._settle_zones()
        self._doubt_places()
        return self.drafts

    def _gather_row(self, row: FanRow, site: Place, tag: str) -> None:
        drafts, fan_place = self.drafts, (*site, name_key(tag))
        if ZONE in row.misread:
            self.misread_zones.add(site)
        self._merge(drafts.owners, "owner", site[:1], row)
        if row.of_part("agreement"):
            self._merge(drafts.agreements, "agreement", site[:1], row)
        self._merge(drafts.sites, "site", site, row)
        name = self._system_name(row, fan_place, tag)
        system = (*site, name_key(name))
        self._merge(drafts.systems, "system", system, row).values.setdefault("name", name)
        earlier = drafts.fans.get(fan_place)
        if earlier:
            self.reader.complain(row, ("fan", "tag"), "tag_twice", other_row=earlier.row)
            return
        drafts.fans[fan_place] = FanDraft(
            "fan", fan_place, row.number, row.of_part("fan"), {}, system,
            row.of_part("machine"), field_values("feed", row.of_part("feed")),
        )  # fmt: skip

    def _system_name(self, row: FanRow, fan: Place, tag: str) -> str:
        (name,) = row.said(("system", "name"))
        if name:
            return str(name)
        on_record = self.register.fans.get(fan)
        return on_record.system.name if on_record else tag

    def _merge(self, drafts: dict[Place, Draft], part: str, place: Place, row: FanRow) -> Draft:
        draft = drafts.setdefault(place, Draft(part, place, row.number))
        for name, value in field_values(part, row.of_part(part)).items():
            if name not in draft.told:
                draft.values[name] = value
                draft.told[name] = row.number, self.reader.seen(row, (part, name))
            earlier = draft.values[name]
            if earlier is not value and not _same(earlier, value):
                self._complain_of_conflict(draft, name, row)
            elif name == _NAMES.get(part) and value != (kept := self._kept_name(draft)):
                self._note_spelling((part, name), row, kept)
        return draft

    def _kept_name(self, draft: Draft) -> str:
        """The name as it stands on record, else as the file has it first."""
        known: Mapping[Place, Any] = getattr(self.register, f"{draft.part}s")
        on_record = known.get(draft.place)
        return str(on_record.name if on_record else draft.values["name"])

    def _complain_of_conflict(self, draft: Draft, name: str, row: FanRow) -> None:
        other_row, other = draft.told.get(name, (draft.row, ""))
        self.reader.complain(
            row, (draft.part, name), "conflict", part=draft.part, other_row=other_row, other=other
        )

    def _note_spelling(self, key: tuple[str, str], row: FanRow, kept: str) -> None:
        self.reader.complaints.note(
            "spelling", row.number, self.reader.heading_text(key), self.reader.seen(row, key),
            other=kept,
        )  # fmt: skip

    def _settle_zones(self) -> None:
        """A site without a zone takes the one its owner's other sites all have."""
        zones = self._zones_of_owners()
        for place, draft in self.drafts.sites.items():
            if "time_zone" in draft.values or place in self.register.sites:
                continue
            known = zones[place[0]]
            if place in self.misread_zones:
                continue
            if len(known) == 1:
                (draft.values["time_zone"],) = known
                self.reader.complaints.note(
                    "zone_assumed", draft.row, self.reader.heading_text(ZONE),
                    draft.values["name"], zone=min(known),
                )  # fmt: skip
            else:
                self.reader.complaints.add(
                    "zone_missing", draft.row, self.reader.heading_text(ZONE)
                )

    def _zones_of_owners(self) -> Mapping[str, set[str]]:
        zones: dict[str, set[str]] = defaultdict(set)
        for place, site in self.register.sites.items():
            zones[place[0]].add(site.time_zone)
        for place, draft in self.drafts.sites.items():
            if "time_zone" in draft.values:
                zones[place[0]].add(draft.values["time_zone"])
        return zones

    def _doubt_places(self) -> None:
        for draft in self.drafts.sites.values():
            latitude, longitude = draft.values.get("latitude"), draft.values.get("longitude")
            if latitude is None or longitude is None:
                continue
            country = draft.values.get("country", "US")
            doubt = doubt_about_place(country, latitude, longitude)
            if doubt:
                seen = f"{latitude:g}, {longitude:g}"
                heading = self.reader.heading_text(("site", "latitude"))
                self.reader.complaints.note(
                    f"place_{doubt}", draft.row, heading, seen, country=country
                )


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, str) and isinstance(other, str):
        return name_key(one) == name_key(other)
    return bool(one == other)
