"""What to mind before touching this fan; local codes and licensed people come first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _

from fleet.quantities import ELECTRONIC, SPLIT_CAPACITOR, THREE_PHASE
from schedules.engine import walk_through
from schedules.engine.record import RuleDate
from schedules.fan_page.gathering import FanFile

UNSAFE_TO_TIP = {"hinge": ("broken", "none"), "catch": ("defeated", "missing", "defeatable")}


def cautions_for(file: FanFile) -> list[str]:
    """A few sentences: what holds for every fan, then what this one's record adds."""
    return [*cautions_before(), *_of_this_fan(file), caution_last()]


def cautions_before() -> list[str]:
    """What holds before touching any fan."""
    return [
        _(
            "Tell the person in charge first: a stopped fan means cooking stops. Lock out at the "
            "fan, for hood switch, heat sensor or fire system can start it; it may windmill."
        ),
        _(
            "Live readings only by someone recorded as qualified, with protection. Prove the "
            "tester, test every phase to phase and to ground, prove the tester again. A tripped "
            "breaker stays off until the circuit is judged safe. Roof edges, weather and working "
            "alone need their own protection."
        ),
    ]


def caution_last() -> str:
    """Who decides in the end."""
    return _(
        "Local codes, the maker's instructions and licensed people come before anything said here."
    )


def unsafe_to_tip_text() -> str:
    """What a hinge or catch last seen at fault means."""
    return _(
        "Hinge or hold-open catch was last seen at fault: do not tip it, and never work under a "
        "fan held by a prop."
    )


def is_at_fault(item: str, state: str | None) -> bool:
    """Whether a hinge or catch in that state holds no tipped fan."""
    return state in UNSAFE_TO_TIP.get(item, ())


def _of_this_fan(file: FanFile) -> list[str]:
    machine = file.machine
    told = cautions_of_motor(
        machine.motor_type if machine else "", file.feeds[0].control if file.feeds else "none"
    )
    told.append(unsafe_to_tip_text() if _is_unsafe_to_tip(file) else no_prop_text())
    if _comes_more_than_monthly(file):
        told.append(often_text())
    return told


def cautions_of_motor(motor_type: str, control: str) -> list[str]:
    """What a motor and its speed control add."""
    told = []
    if control in ("drive", "drive_bypassed", "triac"):
        told.append(_("Its speed control holds charge after it is switched off."))
    if motor_type == SPLIT_CAPACITOR:
        told.append(_("Its capacitor holds charge after it is switched off."))
    if motor_type == ELECTRONIC:
        told.append(_("Its motor's electronics hold charge after it is switched off."))
    if motor_type == THREE_PHASE:
        told.append(_("Mark phase order before disconnecting; check rotation after."))
    return told


def no_prop_text() -> str:
    """What holds of every fan that tips."""
    return _("Never under a tipped fan held by a prop.")


def often_text() -> str:
    """What visits at short intervals may ask of whoever makes them."""
    return _(
        "Visits here are due more often than monthly, which may change what fall protection is "
        "demanded: a competent person decides."
    )


def _comes_more_than_monthly(file: FanFile) -> bool:
    return is_more_than_monthly(file.line.dates if file.line else ())


def is_more_than_monthly(dates: Iterable[RuleDate]) -> bool:
    """Whether walk-throughs are due more often than once a month."""
    walks = [told for told in dates if told.rule == walk_through.number]
    return any(told.args.get("months", 1) < 1 for told in walks)


def _is_unsafe_to_tip(file: FanFile) -> bool:
    looks = file.standing_checks
    return is_unsafe_to_tip(
        {item: getattr(check, item) for item in UNSAFE_TO_TIP} for check in looks
    )


def is_unsafe_to_tip(looks: Iterable[Mapping[str, Any]]) -> bool:
    """Whether hinge or catch, as last seen in these looks, holds no tipped fan."""
    last: dict[str, str] = {}
    for look in looks:
        last |= {item: look[item] for item in UNSAFE_TO_TIP if look[item] is not None}
    return any(is_at_fault(item, state) for item, state in last.items())
