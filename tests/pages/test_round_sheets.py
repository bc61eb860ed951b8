"""Round sheets: who may read which, what they tell, in how many statements, whole on paper."""

from __future__ import annotations

import datetime as dt
import io
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from playwright.sync_api import Page
from pypdf import PdfReader

from fleet.models import Blocker, Fan, Feed, Machine, Person
from schedules.bookings.services import move_booking, terms_of
from schedules.due.reckoning import reckon_fleet
from schedules.models import Booking, PlannedStop
from schedules.notices.day import day_letters
from schedules.rounds.services.editing import take_out_stop
from schedules.rounds.services.publishing import publish_week
from schedules.wording.hours import clock_text
from tests.bookings.booked import NOW, booked, planner
from tests.pages.fan_visits import lacking
from tests.pages.test_due_list import text_of
from tests.people import sign_in, signed_in
from tests.rounds.weeks import due_fan, park, plan, quill, stop_at, stops, who
from tests.schedules.fans import walk
from visits.models import Action, Decision, Finding, Recommendation

WEEK = "/week/2026-W50/rounds/"
EVERY_DAY = [[[360, 570]]] * 7
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def monday(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is NOW, the Monday before the week that is planned."""
    monkeypatch.setattr(timezone, "now", lambda: NOW)


def belted(number: int) -> Fan:
    """A belt-driven fan on a roof with hours, its plate and feed known."""
    fan = due_fan(
        number, address="106 Signal Hill", access_notes="hatch by the dry store",
        fan_stop_hours=EVERY_DAY, lift_notes="scissor lift fits the yard",
    )  # fmt: skip
    fan.site.owner.__class__.objects.update(phone="555-0142")
    Machine.objects.filter(fan=fan).update(
        drive="belt", motor_type="three_phase", phases=3, volts="230/460", full_load_amps="10/5",
        power_hp=7.5, service_factor=1.15, belt="A42", installed_on="2020-05-04",
    )  # fmt: skip
    Feed.objects.create(fan=fan, connected_volts="230", connected_confirmed=True, control="none")
    return fan


def with_a_past(fan: Fan) -> Fan:
    """Seen whole in August, its belt cracked; a failure before, advice agreed to since."""
    check = walk(
        fan, "2026-08-03", {"belt": "act", "hinge": "watch"}, belt="cracked", hinge="loose",
        sheaves="sound", bearings="quiet",
        vibration_detector="rms", vibration_motor_radial_mm_s=3.1,
        belt_deflection_mm=6.4, belt_span_mm=406.4, volts_ab_v=231, volts_bc_v=229, volts_ca_v=230,
        typed={"vibration_motor_radial_mm_s": {"value": 3.1, "unit": "mm/s"},
               "belt_deflection_mm": {"value": 0.25, "unit": "in"}},
    )  # fmt: skip
    Action.objects.create(visit=check.visit, fan=fan, kind="repaired", item="bearings")
    Finding.objects.create(
        visit=check.visit, fan=fan, subject="motor", item="motor", severity="critical",
        verdict="watch", loss_of_function=True, failed_on="2026-08-02",
    )  # fmt: skip
    advice = Recommendation.objects.create(
        visit=check.visit, fan=fan, subject="belt", text="Renew the belt."
    )
    Decision.objects.create(
        fan=fan, recommendation=advice, subject="belt", answer="go_ahead", decided_on="2026-08-10",
        received_at=NOW,
    )  # fmt: skip
    return fan


@pytest.fixture
def fan(db: None) -> Fan:
    return with_a_past(belted(1))


@pytest.fixture
def jo(fan: Fan) -> Person:
    """Jo Park, qualified for live parts, whose round of the week is a draft."""
    person = park()
    Person.objects.filter(pk=person.pk).update(qualified_energised_work=True)
    plan()
    return person


def publish() -> None:
    publish_week(who(1))


def own(person: Person, stop: Any = None) -> str:
    """The address of somebody's round."""
    day = (stop or stops()[0]).round.day.isoformat()
    return f"/week/2026-W50/round/{person.pk}/{day}/"


def told(person: Person, address: str) -> str:
    return text_of(signed_in(person).get(address))


def test_sheet_then_for_those_who_plan_and_once_published_for_whose_round_it_is(
    jo: Person, mara: Person, dana: Person, theo: Person
) -> None:
    olga = Person.objects.create_user("olga", role="owner", owner=stops()[0].site.owner)
    readers = [signed_in(each) for each in (mara, dana, jo, theo, olga, quill())]
    addresses = (own(jo), WEEK)
    draft = [each.get(address).status_code for each in readers for address in addresses]
    publish()
    published = [each.get(address).status_code for each in readers for address in addresses]
    assert draft == [200] * 4 + [404] * 8
    assert published == [200] * 6 + [404] * 6


def test_sheet_when_nobody_signed_in_then_sent_to_sign_in(jo: Person) -> None:
    assert Client().get(own(jo)).status_code == 302


def test_draft_when_it_goes_on_then_a_technician_reads_what_is_in_force(jo: Person) -> None:
    publish()
    address, site = own(jo), stops()[0].site.name
    take_out_stop(who(2), stop=stops()[0].key)
    assert [site in told(jo, address + asked) for asked in ("", "?version=0")] == [True, True]
    assert signed_in(planner()).get(address + "?version=0").status_code == 404


NOWHERE = [
    "/week/2026-W51/rounds/", "/week/2026-W54/rounds/", WEEK + "?version=7", WEEK + "?version=x",
    "/week/2026-W50/round/{jo}/2026-12-13/", "/week/2026-W50/round/{jo}/20261207/",
    "/week/2026-W50/round/{jo}/x/", "/week/2026-W50/round/999999/2026-12-07/",
    f"/week/2026-W50/round/{10**22}/2026-12-07/", "/week/9999-W52/rounds/",
]  # fmt: skip


def test_sheet_when_there_is_none_then_404(jo: Person) -> None:
    dana = signed_in(planner())
    found = {address: dana.get(address.format(jo=jo.pk)).status_code for address in NOWHERE}
    assert found == dict.fromkeys(NOWHERE, 404)


FACTS = [
    "Jo Park", "Roof of EF-1", "106 Signal Hill", "15 minutes; hatch by the dry store",
    "6:00–9:30; to be stopped: EF-1", "scissor lift fits the yard", "Alder Kitchens, 555-0142",
    "draft at revision 1: no technician goes by it",
    # due, and its past in three lines
    "Code inspection: none by a qualified person on record",
    "Mon 3 Aug, walk-through, complete: act on belt.",
    "Failed Sun 2 Aug 2026: motor; bearings repaired Mon 3 Aug 2026; machine in place since "
    "Mon 4 May 2020.",
    "Belt, act, last seen Mon 3 Aug.", "“Renew the belt”; owner: go ahead (Mon 10 Aug 2026).",
    # limits: ISO 14694 table 5 BV-3, NEMA MG-1 12.44.1, plate, 1/64 in per inch of a 16 in span
    "below 4.5 mm/s rms, watch from 4.5, act from 7.1, stop from 9", "3.1 mm/s (Mon 3 Aug)",
    "207 to 253 V, else act", "231, 229, 230 V (Mon 3 Aug)",
    "up to 10 A, watch above 10, act above 11.5, stop above 12.5",
    "0.1875 to 0.375 in, act below 0.1875, watch above 0.375, act above 0.5", "0.25 in (Mon 3 Aug)",
    "below 1500 µm, watch from 1500, act from 2000 NFPA 96, 12.6.1.1.3", "none yet",
    "On live parts, by qualified people with protection only",
    # to bring, look at and mind
    "Belt: A42", "EF-1, Roof of EF-1: belt act, seen Mon 3 Aug 2026; belt: the owner agreed on "
    "Mon 10 Aug 2026", "Guessed from open findings", "vibration meter, grease comb, belt tension",
    "hold-open catch", "EF-1: Mark phase order before disconnecting", "Prove the tester",
    "Never under a tipped fan held by a prop.", "come before anything said here",
]  # fmt: skip


def test_sheet_then_tells_what_to_bring_to_read_and_to_mind(jo: Person) -> None:
    assert lacking(told(planner(), WEEK), *FACTS) == []


def test_sheet_when_who_goes_is_not_qualified_then_nothing_to_read_on_live_parts(
    jo: Person,
) -> None:
    Person.objects.update(qualified_energised_work=False)
    words = told(planner(), WEEK)
    assert [part in words for part in ("207 to 253 V", "On live parts", "multimeter")] == [
        False
    ] * 3


def test_sheet_when_a_live_reading_is_owed_then_left_to_somebody_qualified(
    fan: Fan, db: None
) -> None:
    walk(fan, "2026-11-02", {"amps": "act"}, sheaves="sound", bearings="quiet", belt="sound")
    quill()
    park()
    plan()
    Person.objects.update(qualified_energised_work=False)
    words = told(planner(), WEEK)
    assert "Left to somebody recorded as qualified for work on live parts: volts, current" in words


BLOCKERS = {
    "Waits for a lift; nobody has said from when it is there.": {"kind": "lift"},
    "Waits for a permit, there only from Sun 20 Dec 2026. City hall.": {
        "kind": "permit", "cleared_on": "2026-12-20", "note": "city hall"
    },
    "Was waiting for a crane, to be there from Fri 4 Dec 2026: see that it is.": {
        "kind": "crane", "cleared_on": "2026-12-04"
    },
}  # fmt: skip


def test_blockers_when_there_are_some_then_in_plain_words(jo: Person, fan: Fan) -> None:
    for facts in BLOCKERS.values():
        Blocker.objects.create(site=fan.site, since_on="2026-11-20", **facts)
    assert lacking(told(planner(), WEEK), *BLOCKERS) == []


def test_booking_when_changed_or_made_beside_then_said(jo: Person, fan: Fan) -> None:
    publish()
    booking = Booking.objects.get()
    terms = terms_of(booking)
    later = terms.__class__(**{**vars(terms), "from_minute": 840, "until_minute": 900})
    move_booking(booking_id=booking.pk, seen=booking.sequence, terms=later, by=planner(), now=NOW)
    other = booked(due_fan(7).site, jo, booking.day, hours=(15, 16), note="bring the keys")
    words = told(jo, own(jo))
    assert "Booked otherwise since this was published: " in words
    assert f"15:00–16:00, {other.site.name}, bring the keys" in words


def test_site_in_another_zone_then_its_own_clock_too(db: None) -> None:
    due_fan(1)
    due_fan(2)
    east = due_fan(3, time_zone="America/New_York")
    park()
    plan()
    stop = stop_at(east)
    begin = stop.arrive_minute + 60
    words = told(planner(), WEEK)
    assert f"By the clock there: {begin // 60}:{begin % 60:02}–" in words


def test_record_when_it_cannot_be_read_then_said_and_the_rest_told(
    jo: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_: object) -> None:
        raise ValueError("bad data")

    monkeypatch.setattr("schedules.round_sheet.records.standing_findings", refuse)
    words = told(planner(), WEEK)
    assert ("The open findings cannot be read" in words, "207 to 253 V" in words) == (True, True)


def test_week_when_it_has_more_fans_then_asks_no_more_questions(jo: Person) -> None:
    browser, counts = signed_in(planner()), []
    for numbers in (range(2, 3), range(3, 6)):
        for number in numbers:
            with_a_past(belted(number))
        plan(fresh=True)
        with CaptureQueriesContext(connection) as asked:
            browser.get(WEEK)
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 20


def test_letter_when_the_day_is_a_round_then_names_its_sheet(jo: Person) -> None:
    publish()
    day = stops()[0].round.day
    evening = dt.datetime(2026, 12, 4, 23, 30, tzinfo=dt.UTC) + (day - dt.date(2026, 12, 7))
    letters = [each.words() for each in day_letters(evening)]
    assert own(jo) in letters[0].text
    assert own(jo) in letters[0].html


def test_letter_when_the_day_is_a_round_then_tells_its_times_and_what_it_breaks(jo: Person) -> None:
    publish()
    row = stops()[0].round
    PlannedStop.objects.update(broken=["hours"])
    evening = dt.datetime(2026, 12, 4, 23, 30, tzinfo=dt.UTC) + (row.day - dt.date(2026, 12, 7))
    [told, *_] = [each.words() for each in day_letters(evening)]
    times = f"Set out {clock_text(row.leave_minute)}, back {clock_text(row.back_minute)}"
    for text in (told.text, told.html):
        assert (times in text, "utside the hours in which the roof" in text) == (True, True)


def test_letter_when_somebody_is_only_booked_then_names_none(fan: Fan) -> None:
    booked(fan.site, park())
    reckon_fleet(now=NOW)
    [letter] = day_letters(dt.datetime(2026, 11, 30, 23, tzinfo=dt.UTC))
    assert "For paper" not in letter.words().text


@pytest.mark.browser
@pytest.mark.once
@pytest.mark.django_db(transaction=True)
def test_sheets_when_printed_then_whole_on_either_paper_and_sound_on_a_phone(
    page: Page, jo: Person, dana: Person
) -> None:
    for number in range(2, 6):
        with_a_past(belted(number))
    plan(fresh=True)
    sign_in(page, dana)
    page.goto(WEEK)
    for width in (360, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        wide = page.evaluate("document.documentElement.scrollWidth > innerWidth")
        assert (width, Axe().run(page).violations_count, wide) == (width, 0, False)
    tags = set(Fan.objects.values_list("tag", flat=True))
    for paper in ("A4", "Letter"):
        sheets = pages_of(page.pdf(format=paper))
        # five fans on five roofs: no past is torn, and a name heads every page
        assert len(sheets) <= 5
        assert {tag for tag in tags for words in sheets if is_whole(words, tag)} == tags
        assert all("Jo Park" in words for words in sheets)
    page.goto("/week/2026-W50/")
    week = pages_of(page.pdf(format="Letter"))
    assert len(week) <= 2
    assert [tag for tag in [*tags, "Publish"] if tag not in " ".join(week)] == ["Publish"]


def pages_of(pdf: bytes) -> list[str]:
    return [" ".join(each.extract_text().split()) for each in PdfReader(io.BytesIO(pdf)).pages]


def is_whole(words: str, tag: str) -> bool:
    """Whether a page has all of what is told of a fan, up to what is open."""
    _, head, rest = words.partition(f"{tag} belt drive")
    return bool(head) and "Open" in rest.partition("To read,")[0]
