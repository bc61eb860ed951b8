"""Fans that owners supply, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from fleet.models import SuppliedFan
from schedules.due.supplied import (
    TO_ARRIVE,
    TO_INSTALL,
    TO_ORDER,
    TO_START,
    Supply,
)
from schedules.wording.days import day_text


def supply_steps(supply: Supply) -> Iterator[str]:
    """What happened so far, step by step, and what comes next."""
    row = supply.row
    if row.ordered_on:
        told = _("Ordered on {day}.") if not row.supplier else _("Ordered on {day} from {who}.")
        yield told.format(day=day_text(row.ordered_on), who=row.supplier)
    if row.arrived_on:
        told = (
            _("Arrived on {day}.") if not row.kept_at else _("Arrived on {day}, kept at {where}.")
        )
        yield told.format(day=day_text(row.arrived_on), where=row.kept_at)
    elif row.expected_on and not supply.installed_on:
        yield _("Expected on {day}.").format(day=day_text(row.expected_on))
    if supply.installed_on:
        yield _("Installed on {day}.").format(day=day_text(supply.installed_on))
    if supply.started_on:
        yield _("Start-up check on {day}: done.").format(day=day_text(supply.started_on))
    else:
        yield next_step(supply)


def next_step(supply: Supply) -> str:
    """What it waits for, and whom."""
    return {
        TO_ORDER: _("It is not ordered yet, as far as we know."),
        TO_ARRIVE: _("It has not arrived yet; nobody is sent to install it before."),
        TO_INSTALL: _to_install(supply.row),
        TO_START: _(
            "It waits for its start-up check: volts, current, rotation, vibration, setscrews and "
            "noise."
        ),
    }.get(supply.stage, "")


def _to_install(row: SuppliedFan) -> str:
    if row.installer == SuppliedFan.Installer.US:
        return _("We install it, at the next visit planned for it.")
    if row.installer == SuppliedFan.Installer.OTHERS:
        who = row.installer_name or _("others")
        return _("It is to be installed by {who}; we check its start-up after.").format(who=who)
    return _("It is not settled who installs it.")


def asked_of_owner(supply: Supply) -> str:
    """What an owner is asked for; empty where the next step is ours."""
    if not supply.waits_for_owner:
        return ""
    row, fan = supply.row, supply.row.fan
    name = f"{fan.tag}, {fan.site.name}"
    if supply.stage == TO_ORDER:
        told = _("{fan}: tell us when you have ordered the new fan, and when it comes.")
    elif supply.stage == TO_ARRIVE and row.expected_on:
        told = _("{fan}: tell us when the new fan, expected on {day}, has arrived.")
    elif supply.stage == TO_ARRIVE:
        told = _("{fan}: tell us when the new fan has arrived.")
    elif row.installer:
        told = _("{fan}: tell us when the new fan is installed, so that we check its start-up.")
    else:
        told = _("{fan}: tell us who installs the new fan.")
    return told.format(fan=name, day=day_text(row.expected_on) if row.expected_on else "")
