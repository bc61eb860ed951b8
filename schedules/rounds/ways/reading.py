"""A file of travel times, CSV or XLSX, read with everything that is wrong with it.

One row for each way and direction:

    From,To,Minutes,Km
    base of Jo Park,Quay Street,18,14.2
    Quay Street,base of Jo Park,21,14.2

A place is a site's name (``Owner / Site`` where two owners have one of that name, or ``site 12`` by
its id) or a technician's base: ``base of`` their name or login, or the base as the register names
it, which then stands for all who set out there.  Minutes may be ``Time (s)`` or ``Time (h)``, the
distance ``Distance (m)``, ``Distance (mi)`` or left out: it is then estimated.  A row whose minutes
are blank is left out.
"""

from __future__ import annotations

import difflib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from fleet.imports.complaints import CellError, Complaints, FileError
from fleet.imports.numbers import figures
from fleet.imports.reading import read_table
from fleet.imports.table import column_letters
from schedules.engine.rounds.parameters import RoundsParams
from schedules.engine.rounds.travel import great_circle_m
from schedules.rounds.ways.headings import END, METRES, MINUTES, START, Header, find_header
from schedules.rounds.ways.places import BASE, SITE, Key, Places, are_apart
from schedules.wording.bookings import technician_name

MOST = {MINUTES: 1440.0, METRES: 2_000_000.0}
"""A day's drive and 2,000 km: what lies beyond is rather another unit.  Our choice."""
MOST_GUESSED, LONGEST_GUESSED = 100, 250
"""Of so many unknown names, and no longer ones, a near one is sought."""
Way = tuple[Key, Key]


@dataclass
class WaysRead:
    """Minutes and metres by way; ``blank`` rows had none, ``estimated`` ways no distance."""

    ways: dict[Way, tuple[float, float]] = field(default_factory=dict)
    complaints: Complaints = field(default_factory=Complaints)
    blank: int = 0
    estimated: int = 0


def read_ways(data: bytes, places: Places) -> WaysRead:
    """All ways of a file; nothing of it counts where there is a complaint."""
    told = WaysRead()
    try:
        table = read_table(data)
    except FileError as error:
        told.complaints.add_error(error)
        return told
    told.complaints = table.complaints
    header = find_header(table.rows, told.complaints)
    if header is not None:
        _Rows(header, _Names(places), told).read()
        if not told.ways and not told.complaints:
            _add_nothing(header, told.complaints)
    return told


def _add_nothing(header: Header, complaints: Complaints) -> None:
    first = header.rows[0][0] if header.rows else 1
    complaints.add(
        "told", first, column_letters(header.at[MINUTES]), "",
        problem=_("no row tells a way with its minutes"),
        remedy=_("fill the minutes in, one row for each way and direction"),
    )  # fmt: skip


class _Rows:
    """Reads row by row what a header found."""

    def __init__(self, header: Header, names: _Names, told: WaysRead) -> None:
        self.header, self.names, self.told = header, names, told
        self.rows: dict[Way, int] = {}

    def read(self) -> None:
        for row, cells in self.header.rows:
            starts, ends = self._places(row, cells, START), self._places(row, cells, END)
            minutes = self._number(row, cells, MINUTES)
            metres = self._number(row, cells, METRES)
            if minutes is None:
                self.told.blank += not self._cell(cells, MINUTES)
                continue
            for start in starts:
                for end in ends:
                    self._keep(row, (start, end), minutes, metres)

    def _keep(self, row: int, way: Way, minutes: float, metres: float | None) -> None:
        if way[0] == way[1]:
            if minutes:
                told = _("a way from a place to itself takes time")
                self._add(row, END, self.names.places.name(way[1]), told, _("delete the row"))
            return
        if metres is None:
            self.told.estimated += 1
            metres = self.names.estimated_m(way)
        before = self.told.ways.setdefault(way, (minutes, metres))
        first = self.rows.setdefault(way, row)
        if before != (minutes, metres):
            self._add(
                row, MINUTES, f"{minutes:g}",
                _("row {row} says {minutes} min of the same way").format(
                    row=first, minutes=f"{before[0]:g}"
                ),
                _("make both rows agree, or delete one"),
            )  # fmt: skip

    def _places(self, row: int, cells: Sequence[str], part: str) -> Sequence[Key]:
        text = self._cell(cells, part)
        if not text:
            self._add(row, part, "", _("the cell is blank"), _("name a place, or delete the row"))
            return ()
        keys, problem, remedy = self.names.find(text)
        if problem:
            self._add(row, part, text, problem, remedy)
        return keys

    def _number(self, row: int, cells: Sequence[str], part: str) -> float | None:
        text = self._cell(cells, part)
        if not text:
            return None
        factor = self.header.factors[part]
        try:
            found = [value * factor for value in figures(text)]
            fitting = [value for value in found if 0 <= value <= MOST[part]]
            if len(fitting) > 1:
                raise CellError("comma_unclear", low=f"{found[1]:g}", high=f"{found[0]:g}")
            if not fitting:
                bounds = f"0 to {MOST[part] / factor:g}"
                raise CellError("out_of_range", value=text, bounds=bounds)
        except CellError as error:
            column = column_letters(self.header.at[part])
            self.told.complaints.add(error.code, row, column, text, **error.told)
            return None
        return fitting[0]

    def _cell(self, cells: Sequence[str], part: str) -> str:
        at = self.header.at.get(part)
        return " ".join(cells[at].split()) if at is not None and at < len(cells) else ""

    def _add(self, row: int, part: str, seen: str, problem: str, remedy: str) -> None:
        column = column_letters(self.header.at[part])
        self.told.complaints.add("told", row, column, seen, problem=problem, remedy=remedy)


Found = tuple[Sequence[Key], str, str]
"""Places of a name; with none, what is wrong and what to do."""


class _Names:
    """Finds places by what people call them; each text once."""

    def __init__(self, places: Places) -> None:
        self.places = places
        self._found: dict[str, Found] = {}
        self._guessed = 0
        self._known: Mapping[str, list[Key]] = _names_of(places)

    def find(self, text: str) -> Found:
        """The places that a cell names."""
        if text not in self._found:
            self._found[text] = self._find(text)
        return self._found[text]

    def estimated_m(self, way: Way) -> float:
        """The great circle stretched to a road, where no distance was given [m]."""
        start, end = (self.places.positions[key] for key in way)
        return float(great_circle_m(start, end)) * RoundsParams().detour_factor

    def _find(self, text: str) -> Found:
        name = _plain(text)
        # an apostrophe is what our own file of gaps has before a name like a formula
        keys = self._known.get(name) or self._known.get(name.removeprefix("'"), [])
        if self._are_several(keys):
            told = ", ".join(sorted(self._longer(key) for key in keys)[:5])
            remedy = _("write one of {names}").format(names=told)
            return (), _("several places have this name"), remedy
        if keys:
            return keys, "", ""
        near = self._near(name)
        names = ", ".join(self.places.name(self._known[each][0]) for each in near)
        remedy = _("did you mean {names}?").format(names=names) if names else _(
            "enter the site's coordinates, or the technician's base, in the register first"
        )  # fmt: skip
        return (), _("no site with coordinates and no base has this name"), remedy

    def _near(self, name: str) -> list[str]:
        """What a slip of the pen may have meant; of the first names alone, each look is slow."""
        if self._guessed == MOST_GUESSED or len(name) > LONGEST_GUESSED:
            return []
        self._guessed += 1
        return difflib.get_close_matches(name, self._known, n=3, cutoff=0.75)

    def _are_several(self, keys: Sequence[Key]) -> bool:
        """Sites each stand for themselves; several may set out from one base."""
        positions = [self.places.positions[key] for key in keys]
        return len(keys) > 1 and (
            SITE in {kind for kind, _pk in keys}
            or any(are_apart(positions[0], each) for each in positions)
        )

    def _longer(self, key: Key) -> str:
        kind, pk = key
        if kind == BASE:
            return _("base of {name}").format(name=self.places.people[pk].username)
        site = self.places.sites[pk]
        return f"{site.owner.name} / {site.name}"


def _names_of(places: Places) -> Mapping[str, list[Key]]:
    known: dict[str, list[Key]] = defaultdict(list)
    for pk, site in places.sites.items():
        for name in (site.name, f"{site.owner.name} / {site.name}", f"site {pk}"):
            known[_plain(name)].append((SITE, pk))
    for pk, person in places.people.items():
        names = {person.called, person.username, technician_name(person)}
        told = {_plain(f"{begin} {name}") for name in names for begin in ("base of", "base")}
        base = _plain(person.working_week.base)
        for name in told | ({base} - {""}):
            known[name].append((BASE, pk))
    return known


def _plain(name: str) -> str:
    return " ".join(name.casefold().replace(":", " ").split())
