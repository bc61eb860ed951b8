"""What stands beside a first reading: the figures of the fan's siblings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from functools import reduce
from operator import or_

from django.db.models import Case, Q, Value, When
from django.utils.translation import gettext as _

from fleet.models import Fan, Machine, Person
from fleet.quantities import MEASURED
from schedules.fan_page.gathering import FanFile
from schedules.fan_page.typed import reading_of
from visits.models import Check

Beside = Mapping[int, Mapping[str, str]]
"""By the check's primary key, then by quantity, in words."""

BY_ROOF = {q.name: (q.name.removesuffix("_mm_s"),) for q in MEASURED if q.rule == "vibration"}
BY_MODEL = {
    "amps_a_a": ("amps", "amps_unbalance", "lost_phase"), "insulation_megohm": ("insulation",),
    "winding_ab_ohm": ("winding_unbalance",), "capacitor_uf": ("capacitor",),
}  # fmt: skip
"""What is compared with the subjects it is judged under; these say something only beside the same
motor on the same volts."""
COMPARED = {**BY_ROOF, **BY_MODEL}
MOST_SIBLINGS = 8
MOST_CHECKS = 300
Key = tuple[str, str | None]
"""A quantity, and for vibration its detector: peak and rms are not compared."""


def beside_first_readings(file: FanFile, checks: Iterable[Check], reader: Person) -> Beside:
    """Siblings' newest figures beside those of ``checks`` that hold a first reading.

    Four queries, whatever there is to compare; ``reader`` sees no fan of another owner.
    """
    siblings = {fan.pk: fan for fan in _siblings(file, reader)}
    same_motor = {pk for pk, fan in siblings.items() if _same_motor(file, fan)}
    newest = _newest(siblings)
    shown = {check.pk for check in checks}
    told: dict[int, dict[str, str]] = defaultdict(dict)
    for name, check in _firsts(file.standing_checks):
        others = [
            f"{_named(siblings[pk], file.fan)} {text}"
            for pk, text in newest.get(_key(name, check), {}).items()
            if text and (name in BY_ROOF or pk in same_motor)
        ]
        if check.pk in shown and others:
            told[check.pk][name] = _("First reading here. Others like it: {figures}.").format(
                figures="; ".join(others)
            )
    return told


def _siblings(file: FanFile, reader: Person) -> list[Fan]:
    """Fans of the same system, then of the same model, nearest first."""
    fan, machine = file.fan, file.machine
    alike = Q(system=fan.system_id)
    if machine is not None and machine.model:
        same_model = Machine.objects.filter(model=machine.model, removed_on=None)
        alike |= Q(pk__in=same_model.values("fan"))
    near = Case(
        When(system=fan.system_id, then=Value(0)), When(site=fan.site_id, then=Value(1)),
        default=Value(2),
    )  # fmt: skip
    fans = Fan.objects.visible_to(reader).filter(alike).exclude(pk=fan.pk)
    joined = fans.select_related("site").prefetch_related("machines", "feeds")
    return list(joined.order_by(near, "pk")[:MOST_SIBLINGS])


def _same_motor(file: FanFile, sibling: Fan) -> bool:
    """Same model and power on the same connection."""
    return _motor(list(file.fan.machines.all()), file.fan) == _motor(
        list(sibling.machines.all()), sibling
    )


def _motor(machines: list[Machine], fan: Fan) -> tuple[object, ...]:
    placed = next((each for each in machines if each.removed_on is None), None)
    feeds = list(fan.feeds.all())
    plate = (placed.model, placed.power_hp, placed.volts) if placed and placed.model else (fan.pk,)
    return (*plate, feeds[-1].connected_volts if feeds else "")


def _newest(siblings: Mapping[int, Fan]) -> dict[Key, dict[int, str]]:
    """Each sibling's newest figure of each quantity, as typed; one at fault shows nothing usual."""
    read = reduce(or_, (Q(**{f"{name}__isnull": False}) for name in COMPARED))
    checks = Check.objects.filter(
        read, fan__in=siblings, stage="as_found", visit__superseded_by__isnull=True
    )
    found: dict[Key, dict[int, str]] = defaultdict(dict)
    for check in checks.order_by("-began_at", "-pk")[:MOST_CHECKS]:
        for name in _compared(check):
            text = "" if _is_at_fault(check, name) else reading_of(check, name)
            found[_key(name, check)].setdefault(check.fan_id, text)
    return found


def _is_at_fault(check: Check, name: str) -> bool:
    return any(check.judged.get(subject) in ("act", "stop") for subject in COMPARED[name])


def _compared(check: Check) -> Iterator[str]:
    return (name for name in COMPARED if getattr(check, name) is not None)


def _key(name: str, check: Check) -> Key:
    return name, check.vibration_detector if name in BY_ROOF else None


def _firsts(checks: Iterable[Check]) -> Iterator[tuple[str, Check]]:
    """The first check of each machine that has each quantity compared."""
    seen: set[tuple[int | None, Key]] = set()
    for check in checks:
        for name in _compared(check):
            place = (check.machine_id, _key(name, check))
            if place not in seen:
                seen.add(place)
                yield name, check


def _named(sibling: Fan, fan: Fan) -> str:
    """Told apart from those named before it: a fan of this roof as well says where it is."""
    if sibling.site_id == fan.site_id:
        return _("{tag} of this site").format(tag=sibling.tag)
    return f"{sibling.site.name} {sibling.tag}"
