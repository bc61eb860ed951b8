"""What is thought of a class of fans: fitted, kept, and in force for all whose dates rest on it."""

from __future__ import annotations

import datetime as dt
from io import StringIO
from threading import Thread

import numpy as np
import pytest
from django.core.management import call_command
from django.db import connection, connections, transaction

from fleet.models import Fan
from schedules import engine
from schedules.due.answers import read_answer
from schedules.due.failure_classes import fit_failure_classes
from schedules.due.reckoning import reckon_fans, reckon_fleet
from schedules.due.records import fan_records
from schedules.engine.due import reckon_one
from schedules.engine.failure_odds import DAYS_A_YEAR
from schedules.engine.parameters import DueParams
from schedules.models import DueState, FailureClass
from schedules.revisions import raise_revisions
from tests.jobs.install import wait_for
from tests.oracle.failure_odds import days_watched
from tests.schedules.fans import NOW, make_fan, walk
from visits.models import Finding, MadeSafe

FEW = DueParams().overridden({"odds.class_fans": 6, "odds.class_failures": 5})
LOSSES = (0, 0, 1, 1, 2, 4, 9)


def fail(fan: Fan, *days: str) -> None:
    """Findings of these days that the fan lost its function, told at its last visit."""
    visit = fan.checks.latest("began_at").visit
    Finding.objects.bulk_create(
        Finding(
            visit=visit, fan=fan, subject="motor", item="motor", severity="critical",
            verdict="act", loss_of_function=True, failed_on=day,
        )
        for day in days
    )  # fmt: skip
    raise_revisions([fan.pk])


def make_fleet() -> list[Fan]:
    """Fans that failed as often as LOSSES says within five months; one was out of service."""
    fans = [make_fan(f"EF-{place}") for place in range(len(LOSSES))]
    for fan, losses in zip(fans, LOSSES, strict=True):
        away = walk(fan, "2026-02-02").visit
        walk(fan, "2026-03-01")
        walk(fan, f"2026-06-0{1 + fan.pk % 7}")
        fail(fan, *(f"2026-05-{10 + day}" for day in range(losses)))
    MadeSafe.objects.create(visit=away, fan=fans[-1], told="the chef")
    raise_revisions([fans[-1].pk])
    return fans


def odds_told(fan: Fan) -> dict[str, float]:
    """Numbers behind the fan's date by rule 8, as stored; none without one."""
    dates, _ = read_answer(DueState.objects.get(fan=fan).dates)
    return next((dict(date.args) for date in dates if date.rule == 8), {})


@pytest.mark.django_db
def test_fit_then_the_law_of_what_each_record_says() -> None:
    fans = make_fleet()
    law = fit_failure_classes(now=NOW, params=FEW).classes[1]
    records = [build() for _, build in fan_records([fan.pk for fan in fans])]
    watched = np.array([days_watched(record) for record in records])
    alone = engine.gamma_poisson(LOSSES, watched / DAYS_A_YEAR)
    assert (law.drive, law.fans, law.failures) == ("direct", 7, 17)
    # three digits are kept
    assert law.shape == pytest.approx(alone.prior_shape, rel=0.005)
    assert law.mean_a_year == pytest.approx(alone.prior_mean, rel=0.005)


@pytest.mark.django_db
def test_fit_when_a_class_is_too_small_then_none_and_dates_by_what_is_assumed() -> None:
    fans = make_fleet()
    fitted = fit_failure_classes(now=NOW)
    assert [(c.drive, c.fans, c.shape) for c in fitted.classes] == [
        ("belt", 0, None), ("direct", 7, None)
    ]  # fmt: skip
    reckon_fleet(now=NOW)
    assert odds_told(fans[-1])["prior_a_year"] == pytest.approx(0.3)


@pytest.mark.django_db
def test_fit_when_the_law_changes_then_only_fans_with_two_losses_wait_to_be_reckoned() -> None:
    fans = make_fleet()
    reckon_fleet(now=NOW)
    assert fit_failure_classes(now=NOW, params=FEW).touched == 3
    assert set(DueState.objects.stale().values_list("fan", flat=True)) == {f.pk for f in fans[4:]}
    reckon_fleet(now=NOW)
    assert odds_told(fans[-1])["prior_fans"] == 7
    again = reckon_fleet(now=NOW, only_stale=False, from_truth=True)
    assert (again.changed, fit_failure_classes(now=NOW, params=FEW).touched) == (0, 0)


@pytest.mark.django_db
def test_fan_when_reckoned_alone_or_from_its_record_then_by_the_law_on_record() -> None:
    fans = make_fleet()
    fit_failure_classes(now=NOW, params=FEW)
    reckon_fleet(now=NOW)
    together = bytes(DueState.objects.get(fan=fans[-1]).dates)
    raise_revisions([fans[-1].pk])
    reckon_fans(fan_ids=[fans[-1].pk], now=NOW)
    [(_, build)] = fan_records([fans[-1].pk])
    alone = next(date for date in reckon_one(build()).dates if date.rule == 8)
    assert bytes(DueState.objects.get(fan=fans[-1]).dates) == together
    assert odds_told(fans[-1]) == alone.args


@pytest.mark.django_db
def test_law_when_the_fans_become_too_few_then_goes_and_dates_with_it() -> None:
    fans = make_fleet()
    fit_failure_classes(now=NOW, params=FEW)
    reckon_fleet(now=NOW)
    assert fit_failure_classes(now=NOW + dt.timedelta(days=7)).touched == 3
    reckon_fleet(now=NOW)
    assert "prior_fans" not in odds_told(fans[-1])


@pytest.mark.django_db
def test_fit_when_the_one_before_broke_off_then_tells_whom_it_had_not() -> None:
    make_fleet()
    fit_failure_classes(now=NOW, params=FEW)
    reckon_fleet(now=NOW)
    FailureClass.objects.filter(drive="direct").update(is_told=False)
    assert fit_failure_classes(now=NOW, params=FEW).touched == 3
    assert not FailureClass.objects.filter(is_told=False).exists()


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_fan_when_its_second_loss_comes_during_a_fit_then_reckoned_by_the_new_law() -> None:
    fans = make_fleet()
    reckon_fleet(now=NOW)
    fitting = Thread(target=_fit_apart)
    with transaction.atomic():
        # as a visit does: marked, read and reckoned by what was on record then
        raise_revisions([fans[2].pk])
        fail(fans[2], "2026-05-30")
        reckon_fans(fan_ids=[fans[2].pk], now=NOW)
        fitting.start()
        wait_for(lambda: not fitting.is_alive() or _somebody_waits())
    fitting.join(30)
    reckon_fleet(now=NOW)
    assert odds_told(fans[2])["prior_fans"] == 7


def _somebody_waits() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM pg_locks WHERE NOT granted")
        return bool(cursor.fetchone()[0])


def _fit_apart() -> None:
    try:
        fit_failure_classes(now=NOW, params=FEW)
    finally:
        connections.close_all()


@pytest.mark.django_db
def test_command_then_says_what_was_fitted_and_for_whom() -> None:
    make_fleet()
    told = StringIO()
    call_command("fit_failure_odds", stdout=told)
    assert told.getvalue().splitlines()[:3] == [
        "belt: 0 failures of 0 fans, too few to fit a prior",
        "direct: 17 failures of 7 fans, too few to fit a prior",
        "0 fans to be reckoned again",
    ]
