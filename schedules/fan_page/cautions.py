"""What to mind before touching this fan; local codes and licensed people come first."""

from __future__ import annotations

from django.utils.translation import gettext as _

from fleet.quantities import ELECTRONIC, SPLIT_CAPACITOR, THREE_PHASE
from schedules.engine import walk_through
from schedules.fan_page.gathering import FanFile
from visits.models import Check

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
    machine, control = file.machine, file.feeds[0].control if file.feeds else "none"
    told = []
    if control in ("drive", "drive_bypassed", "triac"):
        told.append(_("Its speed control holds charge after it is switched off."))
    if machine is not None and machine.motor_type == SPLIT_CAPACITOR:
        told.append(_("Its capacitor holds charge after it is switched off."))
    if machine is not None and machine.motor_type == ELECTRONIC:
        told.append(_("Its motor's electronics hold charge after it is switched off."))
    if machine is not None and machine.motor_type == THREE_PHASE:
        told.append(_("Mark phase order before disconnecting; check rotation after."))
    if _is_unsafe_to_tip(file.standing_checks):
        told.append(unsafe_to_tip_text())
    else:
        told.append(_("Never under a tipped fan held by a prop."))
    if _comes_more_than_monthly(file):
        told.append(
            _(
                "Visits here are due more often than monthly, which may change what fall "
                "protection is demanded: a competent person decides."
            )
        )
    return told


def _comes_more_than_monthly(file: FanFile) -> bool:
    dates = file.line.dates if file.line else ()
    walks = [told for told in dates if told.rule == walk_through.number]
    return any(told.args.get("months", 1) < 1 for told in walks)


def _is_unsafe_to_tip(checks: list[Check]) -> bool:
    """Whether hinge or catch, as last seen, holds no tipped fan."""
    for item in UNSAFE_TO_TIP:
        seen = [getattr(check, item) for check in checks if getattr(check, item) is not None]
        if seen and is_at_fault(item, seen[-1]):
            return True
    return False
