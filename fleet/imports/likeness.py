"""New owners and sites that look like others under a slip of the pen: noted, never refused."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator

from fleet.imports.drafts import Draft, Drafts
from fleet.imports.register import Place, Register
from fleet.imports.rows import RowReader
from fleet.imports.values import name_key
from fleet.models import Site
from fleet.writing import rows_in

SHORTEST = 5
"""Letters below which one more or less is a name of its own; our choice."""
_FORMS = re.compile(r"\b(?:inc|llc|ltd|co|corp|gmbh|plc|the)\b")

_FIGURES = re.compile(r"\d|\b[a-z]\b")


def note_likenesses(drafts: Drafts, register: Register, reader: RowReader) -> None:
    """Note new owners and sites whose names are almost another's, and one site of two owners."""
    new_owners = {p: d for p, d in drafts.owners.items() if p not in register.owners}
    new_sites = {p: d for p, d in drafts.sites.items() if p not in register.sites}
    names = [*register.owner_names, *(_name(draft) for draft in drafts.owners.values())]
    _note_almost(new_owners.values(), names, reader)
    by_owner: dict[str, list[str]] = defaultdict(list)
    for place, site in register.sites.items():
        by_owner[place[0]].append(site.name)
    for place, draft in drafts.sites.items():
        by_owner[place[0]].append(_name(draft))
    fresh: dict[str, list[Draft]] = defaultdict(list)
    for place, draft in new_sites.items():
        fresh[place[0]].append(draft)
    for owner, sites in fresh.items():
        _note_almost(sites, by_owner[owner], reader)
    _note_two_owners(drafts, new_sites, reader)


def _name(draft: Draft) -> str:
    return str(draft.values["name"])


def _note_almost(new: Iterable[Draft], names: Iterable[str], reader: RowReader) -> None:
    alike: dict[str, set[str]] = defaultdict(set)
    for name in names:
        for form in _without_a_letter(name):
            alike[form].add(name)
    told: set[frozenset[str]] = set()
    for draft in new:
        name = _name(draft)
        near = {other for form in _without_a_letter(name) for other in alike[form]}
        others = sorted(other for other in near if name_key(other) != name_key(name))
        pair = frozenset({name, *others[:1]})
        if others and pair not in told:
            told.add(pair)
            heading = reader.heading_text((draft.part, "name"))
            reader.complaints.note("almost_like", draft.row, heading, name, other=others[0])


def _without_a_letter(name: str) -> Iterator[str]:
    """Forms shared by names that differ by one letter put in, left out, changed or swapped.

    Names that differ in a figure or a lone letter share none: branches are numbered.
    """
    words = _FORMS.sub("", name.casefold())
    figures = "".join(_FIGURES.findall(words))
    letters = re.sub(r"[\W_]+", "", _FIGURES.sub("", words))
    yield f"{letters}/{figures}"
    if len(letters) >= SHORTEST:
        for at in range(len(letters)):
            yield f"{letters[:at]}{letters[at + 1 :]}/{figures}"


def _note_two_owners(drafts: Drafts, new: dict[Place, Draft], reader: RowReader) -> None:
    """A site of the same name and address under another owner is likely the same building."""
    keys = {_building(_name(draft), draft.values.get("address", "")) for draft in new.values()}
    owners: dict[tuple[str, str], set[str]] = defaultdict(set)
    known = Site.objects.values_list("name", "address", "owner__name")
    addresses = {draft.values["address"] for draft in new.values() if draft.values.get("address")}
    for name, address, owner in rows_in(known, "address", addresses):
        owners[_building(name, address)].add(owner)
    for place, draft in drafts.sites.items():
        key = _building(_name(draft), draft.values.get("address", ""))
        if key in keys:
            owners[key].add(_name(drafts.owners[place[:1]]))
    told: set[tuple[str, str]] = set()
    for place, draft in new.items():
        key = _building(_name(draft), draft.values.get("address", ""))
        own = _name(drafts.owners[place[:1]])
        others = sorted(o for o in owners[key] if name_key(o) != name_key(own))
        if key[1] and others and key not in told:
            told.add(key)
            heading = reader.heading_text(("site", "name"))
            reader.complaints.note(
                "site_of_two", draft.row, heading, _name(draft), owner=own, other=others[0]
            )


def _building(name: str, address: str) -> tuple[str, str]:
    return name_key(name), name_key(address)
