"""The status page and the figures: what ran, what waits, what is parked; for whom."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Page
from prometheus_client.parser import text_string_to_metric_families
from pytest_django import Settings

from fleet.models import Person
from schedules.jobs.ledger import MOST_TRIES
from schedules.jobs.status import broker_trouble, read_status
from schedules.jobs.timetable import TIMETABLE
from schedules.jobs.waking import wake
from schedules.models import DueState, Job
from schedules.revisions import raise_revisions
from tests.pages.test_due_list import text_of
from tests.pages.test_notices import owe
from tests.people import Roofs, sign_in, signed_in

NOW = datetime(2026, 6, 15, 12, 1, tzinfo=UTC)
TOKEN = "a-token-of-more-than-twenty-signs"
REASON = "RuntimeError: a wheel of no diameter"


def park(first: int = 0, last: int = 0, entry: str = "reckon every fan") -> Job:
    """A job nobody takes up any more."""
    return Job.objects.create(
        entry=entry, first_fan=first, last_fan=last, parked_at=NOW, turn=NOW, tries=MOST_TRIES,
        fault=REASON,
    )  # fmt: skip


def read(client: Client, token: str = TOKEN) -> dict[str, float]:
    """The figures by name, as a collector's own library reads them."""
    answer = client.get("/metrics", headers={"authorization": f"Bearer {token}"})
    families = text_string_to_metric_families(answer.content.decode())
    return {
        " ".join([sample.name, *sample.labels.values()]): sample.value
        for family in families
        for sample in family.samples
    }


def test_status_when_a_planner_looks_then_each_line_says_what_came_of_it(
    roofs: Roofs, dana: Person
) -> None:
    wake(timezone.now())
    told = text_of(signed_in(dana).get("/status/"))
    assert "3 fans reckoned." in told
    assert "Every fan's dates are reckoned" in told
    assert "Nothing. Work that fails again" in told


def test_status_when_others_look_then_nowhere(theo: Person, olga: Person, sam: Person) -> None:
    found = [signed_in(person).get("/status/").status_code for person in (theo, olga, sam)]
    assert found == [404] * 3


def test_status_when_nothing_ever_ran_then_says_that_nobody_took_it_up(
    roofs: Roofs, dana: Person
) -> None:
    told = text_of(signed_in(dana).get("/status/"))
    assert told.count("Not taken up.") == len(TIMETABLE)
    assert "3 fans were touched" in told


def test_status_when_a_fan_waits_then_named_with_how_long(roofs: Roofs, dana: Person) -> None:
    wake(timezone.now())
    raise_revisions([roofs.canteen.pk])
    DueState.objects.filter(fan=roofs.canteen.pk).update(
        touched_at=timezone.now() - timedelta(hours=3, minutes=1)
    )
    told = text_of(signed_in(dana).get("/status/"))
    assert "The longest wait: EF-2, Alder Canteen, 3 hours." in told


def test_fan_when_touched_again_before_it_is_reckoned_then_waits_since_the_first(
    roofs: Roofs,
) -> None:
    first = DueState.objects.get(fan=roofs.bakery.pk).touched_at
    raise_revisions([roofs.bakery.pk])
    assert DueState.objects.get(fan=roofs.bakery.pk).touched_at == first
    wake(timezone.now())
    raise_revisions([roofs.bakery.pk])
    assert read_status(NOW).oldest_stale.touched_at > first


def test_parked_when_a_manager_lets_it_go_then_tried_again(roofs: Roofs, mara: Person) -> None:
    job = park(1, 9)
    browser = signed_in(mara)
    page = text_of(browser.get("/status/"))
    assert ("Reckon every fan: fans 1 to 9" in page, REASON in page) == (True, True)
    answer = browser.post("/status/let-go", {"job": job.pk}, follow=True)
    assert "1 job is tried again within a minute." in text_of(answer)
    assert Job.objects.parked().count() == 0


def test_parked_when_all_are_let_go_then_none_is_left(roofs: Roofs, mara: Person) -> None:
    for first in (1, 11, 21):
        park(first, first + 5)
    signed_in(mara).post("/status/let-go")
    assert Job.objects.parked().count() == 0


def test_parked_when_others_let_it_go_then_nowhere(
    roofs: Roofs, dana: Person, theo: Person, olga: Person
) -> None:
    job = park(1, 9)
    found = [
        signed_in(person).post("/status/let-go", {"job": job.pk}).status_code
        for person in (dana, theo, olga)
    ]
    assert (found, Job.objects.parked().count()) == ([404] * 3, 1)


@pytest.mark.parametrize("job", ["x", "-1", "9" * 30, "²"])
def test_parked_when_no_job_is_named_then_nowhere(mara: Person, job: str) -> None:
    assert signed_in(mara).post("/status/let-go", {"job": job}).status_code == 404


def test_figures_when_read_then_as_the_tables_have_them(
    roofs: Roofs, client: Client, settings: Settings
) -> None:
    settings.METRICS_TOKEN = TOKEN
    wake(timezone.now())
    raise_revisions([roofs.diner.pk])
    DueState.objects.update(touched_at=timezone.now() - timedelta(minutes=90))
    owe(roofs.diner.site.owner)
    owe(roofs.diner.site.owner, given_up_at=NOW)
    park(1, 9)
    found = read(client)
    whole = {name: value for name, value in found.items() if "timestamp" not in name}
    assert whole.pop("roofround_oldest_stale_fan_age_seconds") == pytest.approx(5400, abs=60)
    assert {name: value for name, value in whole.items() if " " not in name} == {
        "roofround_stale_fans": 1, "roofround_unreadable_fans": 0, "roofround_notices_owed": 1,
        "roofround_notices_failed": 1, "roofround_parked_jobs": 1,
    }  # fmt: skip
    assert whole["roofround_job_last_count reckon every fan"] == 3
    ended = Job.objects.get(entry="reckon every fan", last_fan=0).ended_at
    assert found["roofround_last_reckoning_timestamp_seconds"] == ended.timestamp()


@pytest.mark.django_db
@pytest.mark.parametrize(
    "header", [None, "Bearer wrong", "Token x", f"Bearer {TOKEN}x", "Bearer ü"]
)
def test_figures_when_the_token_is_not_sent_then_401(
    client: Client, settings: Settings, header: str | None
) -> None:
    settings.METRICS_TOKEN = TOKEN
    answer = client.get("/metrics", headers={"authorization": header} if header else {})
    assert (answer.status_code, b"roofround" in answer.content) == (401, False)


@pytest.mark.django_db
def test_figures_when_no_token_is_set_then_nowhere(client: Client) -> None:
    assert client.get("/metrics", headers={"authorization": "Bearer "}).status_code == 404


def test_figures_when_many_jobs_are_parked_then_asked_in_few_queries(
    roofs: Roofs, django_assert_max_num_queries: object
) -> None:
    for first in range(1, 200, 2):
        park(first, first + 1)
    with django_assert_max_num_queries(9):  # type: ignore[operator]
        status = read_status(NOW)
    assert (len(status.parked), status.parked_count) == (50, 100)


def test_broker_when_unreachable_then_told_without_its_address(settings: Settings) -> None:
    settings.REDIS_URL = "redis://:hush@127.0.0.1:1/0"
    assert broker_trouble() == "ConnectionError"


def test_broker_when_none_is_set_then_nothing_to_reach() -> None:
    assert broker_trouble() is None


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_status_when_read_by_axe_then_no_violation_and_no_sideways_scroll(
    page: Page, roofs: Roofs, mara: Person
) -> None:
    wake(timezone.now())
    park(1, 9)
    park(11, 19)
    sign_in(page, mara)
    page.goto("/status/")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert Axe().run(page).violations_count == 0
    page.get_by_role("button", name="Try again: Reckon every fan: fans 1 to 9").click()
    assert page.get_by_text("1 job is tried again within a minute.").is_visible()
