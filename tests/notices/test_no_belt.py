"""A belt told of a fan that has none by the register: its owner, and we, read that it is in doubt.

That the register or the visit is wrong nobody can tell from the record; so both are told.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import translation

from fleet.models import Fan, Machine, Owner, Person
from fleet.services.links import make_link
from schedules.models import Notice
from schedules.owner_page.gathering import read_advice, read_owner_file
from schedules.owner_page.shown import show_fan
from tests.notices.letters import ADDRESS, MONDAY, overdue_fan, write
from tests.pages.test_patterns import text
from tests.patterns.failing import pattern_of
from tests.people import Roofs
from tests.schedules.fans import make_fan, walk
from visits.models import Finding, MadeSafe, Recommendation, Visit

pytestmark = pytest.mark.django_db
DOUBT = {
    "en": "By our register this fan has no belt: either that or what is told of a belt is wrong",
    "es": "Según nuestro registro este extractor no tiene banda: o eso o lo que se dice de una",
}
HERE = "The register says that this fan has no belt: look which of the two is wrong."


def found(fan: Fan, item: str = "belt", *, on: str = "2026-06-12", **more: Any) -> Finding:
    """Somebody wrote down a fault of the belt, on a visit that came in that day."""
    visit = walk(fan, on).visit
    Visit.objects.filter(pk=visit.pk).update(received_at=visit.began_at)
    facts = {"subject": item, "item": item, "severity": "degraded", "verdict": "act"}
    machine = fan.machines.get()
    return Finding.objects.create(visit=visit, fan=fan, machine=machine, **{**facts, **more})


def advised(finding: Finding, subject: str = "belt") -> Recommendation:
    return Recommendation.objects.create(
        visit=finding.visit, fan=finding.fan, subject=subject, text="Put on a new one."
    )


def letter(kind: str, now: dt.datetime = MONDAY) -> str:
    Owner.objects.update(email=ADDRESS)
    write(now)
    return Notice.objects.get(kind=kind, owner__isnull=False).text


def overdue() -> None:
    found(overdue_fan(), on="2026-05-01")


def overdue_and_stopped() -> None:
    found(overdue_fan(), on="2026-05-01", verdict="stop", severity="critical")


def overdue_and_lost() -> None:
    found(overdue_fan(), on="2026-05-01", loss_of_function=True)


def advice_overdue() -> None:
    advised(found(overdue_fan(), "wheel", on="2026-02-10"), "belt")


def critical() -> None:
    found(make_fan(), verdict="stop", severity="critical")


def advice() -> None:
    advised(found(make_fan()))


def advice_without_a_finding() -> None:
    advised(found(make_fan(), "wheel"), "sheaves")


def made_safe() -> None:
    finding = found(make_fan(), verdict="stop", severity="critical")
    MadeSafe.objects.create(visit=finding.visit, fan=finding.fan, told="the chef")


LETTERS = [
    (overdue, "overdue"), (overdue_and_stopped, "overdue"), (advice_overdue, "overdue"),
    (overdue_and_lost, "overdue"),
    (critical, "critical"), (advice, "advice"), (advice_without_a_finding, "advice"),
    (made_safe, "made-safe"),
]  # fmt: skip
WHEN = {"overdue": MONDAY, "critical": dt.datetime(2026, 6, 12, 16, tzinfo=dt.UTC),
        "made-safe": dt.datetime(2026, 6, 12, 16, tzinfo=dt.UTC), "advice": MONDAY}  # fmt: skip


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(("tell", "kind"), LETTERS)
def test_letter_then_says_once_that_one_of_both_is_wrong(
    tell: Any, kind: str, language: str
) -> None:
    tell()
    Owner.objects.update(language=language)
    assert letter(kind, WHEN[kind]).count(DOUBT[language]) == 1


@pytest.mark.parametrize("change", [{"drive": "belt"}, {"unreadable": ["drive"]}])
@pytest.mark.parametrize(("tell", "kind"), LETTERS)
def test_letter_when_the_fan_has_a_belt_or_nobody_knows_then_no_doubt(
    tell: Any, kind: str, change: dict[str, Any]
) -> None:
    tell()
    Machine.objects.update(**change)
    assert DOUBT["en"] not in letter(kind, WHEN[kind])


@pytest.mark.parametrize("tell", [overdue, overdue_and_stopped, overdue_and_lost])
def test_letter_when_the_register_got_a_machine_without_a_belt_since_then_no_doubt(
    tell: Any,
) -> None:
    """A file of the register swaps it with no visit; what was told of its belt then was right."""
    tell()
    Machine.objects.update(drive="belt", removed_on="2026-05-20")
    fan = Fan.objects.get()
    Machine.objects.create(fan=fan, drive="direct", installed_on="2026-05-20", power_hp=0.5)
    assert DOUBT["en"] not in letter("overdue")


def test_letter_about_bearings_then_no_doubt() -> None:
    advised(found(make_fan(), "bearings"), "bearings")
    assert DOUBT["en"] not in letter("advice")


def test_letter_when_only_a_cause_names_a_belt_then_no_doubt_of_what_its_owner_does_not_read() -> (
    None
):
    advised(found(make_fan(), "bearings", cause="Belt too tight"), "bearings")
    assert DOUBT["en"] not in letter("advice")


@pytest.mark.parametrize(("drive", "doubted"), [("direct", 1), ("belt", 0)])
def test_letter_to_those_who_plan_then_says_so_too(drive: str, doubted: int, dana: Person) -> None:
    Person.objects.filter(pk=dana.pk).update(email="dana@alder.example")
    critical()
    Machine.objects.update(drive=drive)
    write(WHEN["critical"])
    told = Notice.objects.get(kind="critical", person=dana).text
    assert told.count(HERE) == doubted


@pytest.mark.parametrize("language", ["en", "es"])
def test_owners_page_then_beside_the_advice_and_kept_with_an_answer(language: str) -> None:
    row = advised(found(make_fan()))
    write()
    with translation.override(language):
        file = read_advice(make_link(owner=row.fan.site.owner, now=MONDAY), row, MONDAY)
    assert file.shown.count(DOUBT[language]) == 1


def test_owners_page_then_beside_a_stop() -> None:
    fan = make_fan()
    found(fan, verdict="stop", severity="critical")
    write()
    file = read_owner_file(make_link(owner=fan.site.owner, now=MONDAY), MONDAY)
    (shown,) = (show_fan(file, line) for line in file.stopped)
    assert [text.startswith(DOUBT["en"]) for text in shown.said].count(True) == 1


@pytest.mark.parametrize(("drive", "doubted"), [("direct", True), ("belt", False)])
def test_fan_page_then_beside_the_date_and_in_the_entry(
    roofs: Roofs, theo: Person, drive: str, doubted: bool
) -> None:
    roofs.bakery.machines.update(drive=drive)
    found(roofs.bakery, verdict="stop", severity="critical")
    write()
    dates, entries = text(theo, "fan_page", roofs.bakery.pk).split('<h2 id="entries">')
    assert (HERE in dates, entries.count(HERE)) == (doubted, int(doubted))


@pytest.mark.parametrize(
    ("item", "drive", "doubted"),
    [("belt", "direct", 1), ("belt", "belt", 0), ("switch", "direct", 0)],
)
def test_pattern_page_then_doubts_a_belt_that_keeps_failing(
    roofs: Roofs, theo: Person, item: str, drive: str, doubted: int
) -> None:
    roofs.bakery.machines.update(drive=drive)
    assert text(theo, "pattern_page", pattern_of(roofs.bakery, item=item).pk).count(HERE) == doubted
