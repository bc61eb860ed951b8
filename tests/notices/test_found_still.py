"""What an owner reads of a fan found standing still, or found not doing its work."""

from __future__ import annotations

import datetime as dt
from functools import partial
from typing import Any

import pytest
from django.utils import translation

from fleet.models import Fan, Owner
from fleet.services.links import make_link
from schedules.models import DueState, Notice
from schedules.owner_page.gathering import read_owner_file
from schedules.owner_page.shown import show_fan
from tests.notices.letters import MONDAY, overdue_fan, write
from tests.schedules.fans import walk
from visits.models import Action, Check, Closing, Finding, RunningTold

pytestmark = pytest.mark.django_db
STILL = "Found standing still on Sun 1 Mar 2026: nothing may be cooked under its hood while it sta"
IDLE = (
    "On Sun 1 Mar 2026 our technician found that it did not do its work (the motor). If that is "
    "still so, nothing may be cooked under its hood."
)
DEAD: dict[str, Any] = {"running": "dead"}
SHAKING: dict[str, Any] = {
    "vibration_motor_radial_mm_s": 12.0,
    "vibration_detector": "rms",
    "typed": {"vibration_motor_radial_mm_s": {"value": 12.0, "unit": "mm/s", "qualifier": ""}},
}


def shaking(fan: Fan, *, dead: bool = False, **verdicts: str) -> Check:
    """12 mm/s rms, as found on 1 March; a stop for a motor of half a horsepower."""
    told = {"vibration_motor_radial": "stop", **verdicts}
    told |= {"running": "stop"} if dead else {}
    return walk(fan, "2026-03-01", told, **SHAKING, **(DEAD if dead else {}))


def lost(check: Check, item: str = "motor", **more: Any) -> Finding:
    """A finding that this item lost its function."""
    facts = {"subject": item, "severity": "critical", "verdict": "stop", "loss_of_function": True}
    return Finding.objects.create(
        visit=check.visit, fan=check.fan, machine=check.machine, item=item, **{**facts, **more}
    )


def text() -> str:
    write()
    return Notice.objects.get(kind="overdue").text


def test_dead_and_shaking_then_told_of_both_with_the_same_dates() -> None:
    fan = overdue_fan()
    shaking(fan, dead=True)
    told = text()
    assert "    STOP: The fan vibrates at 12 mm/s" in told
    assert told.count(STILL) == 1
    state = DueState.objects.get(fan=fan)
    # rules.md C 5a: a stop is due and overdue on the reading's day; of equal days the lower rule
    assert (state.due_on, state.due_rule) == (dt.date(2026, 3, 1), 5)
    assert (state.overdue_after, state.overdue_rule) == (dt.date(2026, 3, 1), 5)


def test_function_lost_and_shaking_then_told_of_both() -> None:
    lost(shaking(overdue_fan()))
    told = text()
    assert ("    STOP: The fan vibrates at 12 mm/s" in told, told.count(IDLE)) == (True, 1)


def test_dead_and_another_stop_then_told_of_both() -> None:
    walk(overdue_fan(), "2026-03-01", {"guard": "stop", "running": "stop"}, guard="off", **DEAD)
    told = text()
    assert ("STOP: The guard is off" in told, told.count(STILL)) == (True, 1)


def test_dead_alone_then_said_once() -> None:
    walk(overdue_fan(), "2026-03-01", {"running": "stop"}, **DEAD)
    told = text()
    assert "STOP: The fan does not run, so nothing may be cooked under it." in told
    assert "Found standing still" not in told


def test_dead_and_function_lost_then_the_plainer_of_both() -> None:
    lost(shaking(overdue_fan(), dead=True))
    told = text()
    assert (STILL in told, "did not do its work" in told) == (True, False)


def ran_later(check: Check) -> None:
    """Seen running, still shaking."""
    walk(check.fan, "2026-04-01", {"vibration_motor_radial": "stop", "running": "within"},
         **SHAKING)  # fmt: skip


def repaired(check: Check, kind: str = "repaired") -> None:
    Action.objects.create(visit=check.visit, fan=check.fan, kind=kind, item="motor")


def patched(check: Check) -> None:
    repaired(check, "temporary")


def machine_replaced(check: Check) -> None:
    Action.objects.create(visit=check.visit, fan=check.fan, kind="replaced", item="machine")


def left_running(check: Check) -> None:
    """Set going on the visit that found it standing."""
    facts = {"visit": check.visit, "fan": check.fan, "machine": check.machine}
    Check.objects.create(
        **facts, stage="as_left", began_at=check.began_at, running="runs",
        judged={"running": "within"},
    )  # fmt: skip


@pytest.mark.parametrize("how", [ran_later, repaired, patched, machine_replaced, left_running])
@pytest.mark.parametrize("dead", [True, False])
def test_what_has_run_or_was_worked_on_since_then_not_called_still(how: Any, dead: bool) -> None:
    fan = overdue_fan()
    check = shaking(fan, dead=dead)
    if not dead:
        lost(check)
    how(check)
    told = text()
    assert ("standing still" in told, "did not do its work" in told) == (False, False)


SAID = "Your kitchen said on Fri 1 May 2026 that it is running (Ana); nobody of ours has looked"


def said(fan: Fan, answer: str = "running", on: str = "2026-05-01") -> None:
    """The kitchen's word through its link, at noon."""
    RunningTold.objects.create(
        fan=fan, link=make_link(owner=fan.site.owner, site=fan.site, now=MONDAY), answer=answer,
        told_by="Ana", told_on=on, received_at=f"{on}T18:00Z",
    )  # fmt: skip


def idle(fan: Fan) -> None:
    lost(walk(fan, "2026-03-01"), verdict="act", severity="degraded")


def dead_alone(fan: Fan) -> None:
    walk(fan, "2026-03-01", {"running": "stop"}, **DEAD)


@pytest.mark.parametrize("how", [partial(shaking, dead=True), dead_alone, idle])
def test_kitchen_said_since_that_it_runs_then_its_owner_reads_both(how: Any) -> None:
    """Whoever told us so would read else that we did not hear it."""
    fan = overdue_fan()
    how(fan)
    before = text()
    said(fan)
    Notice.objects.all().delete()
    told = text()
    assert (SAID in before, told.count(SAID)) == (False, 1)
    for mark in ("STOP: ", STILL, IDLE):
        assert (mark in told) == (mark in before)


def looked_since(fan: Fan) -> None:
    said(fan)
    walk(fan, "2026-05-02", {"vibration_motor_radial": "stop", "running": "stop"},
         **SHAKING, **DEAD)  # fmt: skip


def took_it_back(fan: Fan) -> None:
    said(fan)
    said(fan, "not_running", "2026-05-03")


def said_before(fan: Fan) -> None:
    said(fan, on="2026-02-20")


@pytest.mark.parametrize("how", [looked_since, took_it_back, said_before])
def test_kitchens_word_is_not_the_last_then_not_told(how: Any) -> None:
    fan = overdue_fan()
    shaking(fan, dead=True)
    how(fan)
    told = text()
    assert ("standing still" in told, "that it is running" in told) == (True, False)


def test_loss_closed_with_a_reason_then_not_told() -> None:
    finding = lost(shaking(overdue_fan()))
    Closing.objects.create(
        finding=finding, closed_on="2026-03-05", reason="told of the wrong fan",
        received_at=MONDAY,
    )  # fmt: skip
    assert "did not do its work" not in text()


def test_loss_long_mended_then_another_fault_of_the_motor_is_no_loss() -> None:
    fan = overdue_fan()
    check = walk(fan, "2026-02-10")
    lost(check, verdict="act")
    repaired(check)
    lost(shaking(fan), verdict="watch", severity="incipient", loss_of_function=False)
    assert "did not do its work" not in text()


def test_function_lost_alone_then_told_once_and_nothing_is_priced() -> None:
    lost(walk(overdue_fan(), "2026-03-01"), verdict="act", severity="degraded")
    told = text()
    assert (told.count(IDLE), "on average" in told) == (1, False)


def test_letter_in_spanish_then_so_in_spanish() -> None:
    shaking(overdue_fan("EF-1"), dead=True)
    lost(shaking(overdue_fan("EF-2")))
    Owner.objects.update(language="es")
    said(Fan.objects.get(tag="EF-1"))
    told = text()
    assert "En su cocina dijeron el viernes 1 de mayo de 2026 que está en marcha (Ana)" in told
    assert "Se encontró parado el domingo 1 de marzo de 2026" in told
    assert "encontró que no cumplía su función (el motor)" in told


@pytest.mark.parametrize("language", ["en", "es"])
def test_owners_page_then_says_the_same_among_the_stopped(language: str) -> None:
    fan = overdue_fan()
    shaking(fan, dead=True)
    write()
    link = make_link(owner=fan.site.owner, now=MONDAY)
    file = read_owner_file(link, MONDAY)
    with translation.override(language):
        (shown,) = (show_fan(file, line) for line in file.stopped)
    start = {"en": STILL, "es": "Se encontró parado"}[language]
    assert [text.startswith(start) for text in shown.said].count(True) == 1


def test_owners_page_when_function_was_lost_alone_then_among_the_stopped() -> None:
    fan = overdue_fan()
    lost(walk(fan, "2026-03-01"), verdict="act", severity="degraded")
    write()
    file = read_owner_file(make_link(owner=fan.site.owner, now=MONDAY), MONDAY)
    assert ([line.state.fan_id for line in file.stopped], file.owed) == ([fan.pk], [])
