"""Letters come in the language of whoever reads them, whole."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from fleet.models import Agreement, Owner, Person
from schedules.kitchen_checks import ask_kitchen
from schedules.models import Notice
from tests.bookings.booked import booked, technician
from tests.languages.spanish import english_in, listening
from tests.notices.letters import ADDRESS, MONDAY, at, overdue_fan, told, write
from tests.notices.test_advice import advise
from tests.notices.test_critical import stopped_fan
from tests.notices.test_day import EVENING
from tests.notices.test_made_safe import out_of_service
from tests.notices.test_no_access import FIRST, SECOND, looked_after, shut
from tests.schedules.fans import make_fan, walk

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def overdue() -> dt.datetime:
    """A stop, advice, a roof that nobody got onto, and fans overdue beyond the visits bought."""
    fan = overdue_fan()
    shut(make_fan("EF-3", roof_access_hours=[[[360, 960]]] * 7), FIRST, SECOND)
    walk(make_fan("EF-4"), "2026-02-01", {"guard": "stop"}, guard="off")
    advise(make_fan("EF-5"), "2026-04-01", text="Fijar la base.")
    Agreement.objects.create(owner=fan.site.owner, starts_on=dt.date(2026, 1, 1), visits_per_year=1)
    return MONDAY


def advice() -> dt.datetime:
    advise(make_fan(), text="Fijar la base.")
    return at("2026-06-04 08:05")


def critical() -> dt.datetime:
    stopped_fan()
    return at("2026-06-13 10:30")


def made_safe() -> dt.datetime:
    promised = dt.date(2026, 6, 12)
    out_of_service(restarts_when="guarda nueva", told="Rosa Field", promised_on=promised)
    write(at("2026-06-06 10:30"))
    return at("2026-06-15 10:30")


def no_access() -> dt.datetime:
    shut(looked_after(), FIRST, SECOND)
    return MONDAY


def asked() -> dt.datetime:
    ask_kitchen(site=looked_after().site, now=MONDAY)
    return MONDAY


def day() -> dt.datetime:
    """A technician's, with a stop, an event and something replaced."""
    fan = overdue_fan(address="Signal 106", access_notes="escotilla", lift_notes="grúa")
    check = walk(fan, "2026-11-20", {"guard": "stop", "curb": "act"}, guard="off", curb="loose")
    check.visit.actions.create(fan=fan, item="belt", kind="replaced")
    booked(fan.site, technician(language="es"), note="Tocar el timbre.")
    return EVENING


LETTERS: dict[str, Callable[[], dt.datetime]] = {
    "overdue": overdue, "advice": advice, "critical": critical, "made-safe": made_safe,
    "no-access": no_access, "asked": asked, "day": day,
}  # fmt: skip


@pytest.mark.parametrize("kind", LETTERS)
def test_letter_when_its_reader_speaks_spanish_then_all_of_it_does(kind: str) -> None:
    Owner.objects.create(name="Alder Kitchens", email=ADDRESS, language="es")
    with listening() as missing:
        write(LETTERS[kind]())
    letters = told(kind)
    said = [text.replace("Roof of", "") for each in letters for text in (each.subject, each.text)]
    assert letters
    assert (missing, english_in(" ".join(said))) == (set(), set())
    assert '<html lang="es">' in letters[0].html


def test_letters_then_each_in_its_reader_s_language_and_the_desk_s_in_english() -> None:
    Person.objects.create_user("dana", "dana@here.example", role="dispatcher", language="es")
    stopped_fan()
    Owner.objects.update(language="es")
    write(at("2026-06-13 10:30"))
    subjects = {each.owner_id is not None: each.subject for each in Notice.objects.all()}
    assert subjects == {
        True: "PARAR: el extractor EF-1 en Roof of EF-1 no debe funcionar",
        False: "Stop found: EF-1, Roof of EF-1",
    }


def test_days_and_amounts_then_as_written_in_mexico_and_the_usa() -> None:
    """CLDR 46, es-MX: "martes 3 de marzo de 2026" without its comma; 1,480.50."""
    advise(make_fan(), text="Fijar la base.", cost="1480.50")
    Owner.objects.update(language="es")
    write(at("2026-06-04 08:05"))
    (letter,) = told("advice")
    assert "Se encontró el lunes 1 de junio de 2026:" in letter.text
    assert "Cuesta unos 1,480.50 USD" in letter.text
