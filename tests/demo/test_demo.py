"""The demo command: what it prints, that it repeats, that its dates are what the rules say."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from fleet.models import Fan, Owner, Person, Site
from schedules.demo.county import HOTELS
from schedules.demo.found import _attach_photos, make_files
from schedules.demo.world import least_fans, make_world
from schedules.due.reckoning import reckon_fleet
from schedules.due.records import fan_records
from schedules.engine.due import reckon_one
from schedules.models import DueChange, DueState
from tests.oracle.reckon import answer, oracle_reckon
from tests.schedules.fans import make_fan
from visits.models import Check, Event, Photo, Visit

TODAY = date(2026, 6, 15)
NOW = datetime(2026, 6, 15, 17, tzinfo=UTC)
FANS = 80
RUSTY_ROOF = "Tannevale Ferry Steps"
FEW_LOOKS = 12


@pytest.fixture(scope="module")
def printed(django_db_setup: None, django_db_blocker: Any) -> Iterator[str]:
    """The demo on record for the whole module, and what the command said."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield run_demo()
        transaction.set_rollback(True)


def run_demo(**options: Any) -> str:
    said = StringIO()
    call_command("demo", today=TODAY, fans=FANS, stdout=said, **options)
    return said.getvalue()


def rows_on_record() -> list[int]:
    return [model.objects.count() for model in (Site, Fan, Visit, Check, Event, DueChange, Photo)]


def test_demo_prints_the_due_list_with_reasons(printed: str) -> None:
    assert "OVERDUE" in printed
    assert "The guard is off: moving parts are within reach. Found Wed 6 May 2026" in printed


def test_demo_tells_how_to_see_it_in_a_browser(printed: str) -> None:
    assert printed.splitlines()[-1].endswith("manage.py serve")


def test_demo_has_forty_kitchens_and_the_fans_asked_for(printed: str) -> None:
    assert rows_on_record()[:2] == [40, FANS]


def test_demo_shows_two_photos_by_whoever_was_there(printed: str) -> None:
    told = Photo.objects.values_list("fan__tag", "subject", "recorded_by__username")
    assert sorted(told) == [("EF-2", "", "col"), ("EF-2", "corrosion", "ruta")]


def test_photos_when_another_fan_of_the_roof_is_as_rusty_then_of_the_fan_they_show(
    printed: str,
) -> None:
    with transaction.atomic():
        Photo.objects.all().delete()
        newest = Check.objects.filter(visit=Visit.objects.filter(site__name=RUSTY_ROOF).first())
        newest.filter(fan__tag="EF-2").delete()
        newest.update(corrosion="deep")
        _attach_photos(NOW)
        assert set(Photo.objects.values_list("fan__tag", flat=True)) == {"EF-2"}
        transaction.set_rollback(True)


def test_demo_again_changes_nothing(printed: str) -> None:
    before = rows_on_record()
    run_demo()
    assert rows_on_record() == before


def test_demo_again_prints_the_same_list(printed: str) -> None:
    def listed(text: str) -> str:
        return text[text.index("OVERDUE") : text.index("Made in")]

    assert listed(run_demo()) == listed(printed)


def test_demo_again_on_another_day_keeps_the_fleet_it_made(printed: str) -> None:
    said = StringIO()
    call_command("demo", today=TODAY + timedelta(days=9), stdout=said)
    assert f"made for {TODAY} is on record already" in said.getvalue()


def test_demo_fans_are_all_reckoned(printed: str) -> None:
    assert not DueState.objects.stale().exists()
    assert not DueState.objects.exclude(fault="").exists()


def test_demo_reckoned_from_truth_changes_nothing(printed: str) -> None:
    assert reckon_fleet(now=NOW, from_truth=True).changed == 0


def test_demo_dates_agree_with_the_oracle(printed: str) -> None:
    # long series are left out: the oracle counts every order of theirs one by one
    ids = list(Fan.objects.values_list("pk", flat=True))
    built = {fan["id"]: build() for fan, build in fan_records(ids)}
    records = {pk: record for pk, record in built.items() if len(record.looks) <= FEW_LOOKS}
    assert len(records) > 40
    assert {pk: answer(reckon_one(record)) for pk, record in records.items()} == {
        pk: answer(oracle_reckon(record)) for pk, record in records.items()
    }


def test_fleet_without_history_falls_due_over_six_weeks(printed: str) -> None:
    new = DueState.objects.filter(owner__name=HOTELS)
    days = {(state.due_on - TODAY).days for state in new if state.due_on}
    assert min(days) >= 1
    assert max(days) <= 42
    assert len(days) > 6


def test_fleet_without_history_is_due_on_the_day_each_fan_was_given(printed: str) -> None:
    rows = DueState.objects.filter(owner__name=HOTELS).select_related("fan")
    assert {(r.due_on, r.due_rule, r.overdue_after) for r in rows} == {
        (day, 1, day + timedelta(days=14))
        for day in Fan.objects.filter(site__owner__name=HOTELS).values_list(
            "onboarding_on", flat=True
        )
    }


def test_fleet_without_history_leaves_the_other_owners_dates_alone(printed: str) -> None:
    others = DueState.objects.exclude(owner__name=HOTELS)
    assert others.filter(overdue_after__lt=TODAY).exists()


@pytest.mark.django_db
@pytest.mark.parametrize("day", ["2028-02-29", "2026-03-09", "2025-11-03"])
def test_demo_stands_on_awkward_days(day: str) -> None:
    said = StringIO()
    call_command("demo", today=date.fromisoformat(day), fans=least_fans(), stdout=said)
    assert "Imported visits.jsonl" in said.getvalue()


@pytest.mark.django_db
def test_demo_beside_a_real_fleet_is_refused() -> None:
    make_fan()
    with pytest.raises(CommandError, match=r"\(Alder Kitchens\).* DATA_DIR"):
        call_command("demo", today=TODAY, fans=least_fans(), stdout=StringIO())
    assert (Fan.objects.count(), Person.objects.count()) == (1, 0)


def test_fleet_of_ones_own_beside_the_demo_then_no_demo_again(printed: str) -> None:
    owner = Owner.objects.create(name="Alder Kitchens")
    with pytest.raises(CommandError, match="DATA_DIR"):
        run_demo()
    owner.delete()


@pytest.mark.django_db
def test_demo_of_too_few_fans_says_how_many_it_needs() -> None:
    with pytest.raises(CommandError, match=f"ask for {least_fans()} or more"):
        call_command("demo", today=TODAY, fans=5, stdout=StringIO())


@pytest.mark.django_db
def test_demo_keeps_its_two_files_when_asked(settings: Any, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path
    call_command("demo", today=TODAY, fans=least_fans(), keep=True, stdout=StringIO())
    kept = [path.read_bytes() for path in sorted((tmp_path / "demo").iterdir())]
    files = make_files(TODAY, least_fans())
    assert kept == [files.fleet, files.visits]


def test_world_of_too_few_fans_is_refused() -> None:
    with pytest.raises(ValueError, match="5 fans do not hold the stories"):
        make_world(TODAY, 5)


@pytest.mark.parametrize("seed", ["1", "2"])
def test_world_is_the_same_in_every_process(root: Path, seed: str) -> None:
    program = (
        "import hashlib, datetime; from schedules.demo.world import make_world; "
        "from schedules.demo.write import visits_jsonl; "
        "made = make_world(datetime.date(2026, 6, 15), 80); "
        "print(hashlib.sha256(visits_jsonl(made.records)).hexdigest())"
    )
    env = {**os.environ, "PYTHONHASHSEED": seed}
    command = [sys.executable, "-c", program]
    told = subprocess.run(command, cwd=root, env=env, capture_output=True, text=True, check=True)
    here = hashlib.sha256(make_files(TODAY, FANS).visits).hexdigest()
    assert told.stdout.strip() == here
