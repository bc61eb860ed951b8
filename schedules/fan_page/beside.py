"""What stands beside a first reading: the figures of the fan's siblings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import reduce
from operator import or_

from django.db.models import Case, Q, Value, When
from django.utils.translation import gettext as _

from fleet.models import Fan, Person
from fleet.quantities import MEASURED
from schedules.fan_page.gathering import FanFile
from schedules.fan_page.readings import typed_text
from visits.models import Check

Beside = Mapping[int, Mapping[str, str]]
"""By the check's primary key, then by quantity, in words."""

COMPARED = tuple(
    quantity.name
    for quantity in MEASURED
    if quantity.rule in ("amps", "vibration", "insulation", "winding", "capacitor")
)
MOST_SIBLINGS = 6
MOST_CHECKS = 300
Key = tuple[str, str | None]
"""A quantity, and for vibration its detector: peak and rms are not compared."""


def beside_first_readings(file: FanFile, checks: Iterable[Check], reader: Person) -> Beside:
    """Siblings' newest figures beside those of ``checks`` that hold a first reading.

    Two queries, whatever there is to compare; ``reader`` sees no fan of another owner.
    """
    siblings = {fan.pk: fan for fan in _siblings(file, reader)}
    newest = _newest(siblings)
    shown = {check.pk for check in checks}
    told: dict[int, dict[str, str]] = defaultdict(dict)
    for name, check in _firsts(file.standing_checks):
        others = newest.get(_key(name, check), {})
        if check.pk in shown and others:
            figures = "; ".join(
                f"{_named(siblings[fan_id], file.fan)} {text}" for fan_id, text in others.items()
            )
            told[check.pk][name] = _("First reading here. Others like it: {figures}.").format(
                figures=figures
            )
    return told


def _siblings(file: FanFile, reader: Person) -> list[Fan]:
    """Fans of the same system, then of the same model."""
    fan, machine = file.fan, file.machine
    alike = Q(system=fan.system_id)
    if machine is not None and machine.model:
        alike |= Q(machines__model=machine.model, machines__removed_on=None)
    near = Case(
        When(system=fan.system_id, then=Value(0)), When(site=fan.site_id, then=Value(1)),
        default=Value(2),
    )  # fmt: skip
    fans = Fan.objects.visible_to(reader).filter(alike).exclude(pk=fan.pk)
    return list(fans.distinct().select_related("site").order_by(near, "pk")[:MOST_SIBLINGS])


def _newest(siblings: Mapping[int, Fan]) -> dict[Key, dict[int, str]]:
    """Each sibling's newest figure of each quantity, as typed."""
    read = reduce(or_, (Q(**{f"{name}__isnull": False}) for name in COMPARED))
    checks = Check.objects.filter(
        read, fan__in=siblings, stage="as_found", visit__superseded_by__isnull=True
    )
    found: dict[Key, dict[int, str]] = defaultdict(dict)
    for check in checks.order_by("-began_at", "-pk")[:MOST_CHECKS]:
        for name in COMPARED:
            if getattr(check, name) is not None:
                found[_key(name, check)].setdefault(check.fan_id, typed_text(check, name))
    return found


def _key(name: str, check: Check) -> Key:
    return name, check.vibration_detector if name.startswith("vibration") else None


def _firsts(checks: Iterable[Check]) -> Iterable[tuple[str, Check]]:
    """The first check of each machine that has each quantity compared."""
    seen: set[tuple[int | None, Key]] = set()
    for check in checks:
        for name in COMPARED:
            place = (check.machine_id, _key(name, check))
            if getattr(check, name) is not None and place not in seen:
                seen.add(place)
                yield name, check


def _named(sibling: Fan, fan: Fan) -> str:
    return sibling.tag if sibling.site_id == fan.site_id else f"{sibling.site.name} {sibling.tag}"
