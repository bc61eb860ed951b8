"""How often a whole post asks the database: key, look-ups, writing, reckoning, answer."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from fleet.models import Fan, Person
from tests.api.asking import by_key
from tests.api.logs import EVENTS, VISITS, cleaning, corrected, look, walk
from tests.people import Roofs
from tests.visits.roofs import WITHIN

pytestmark = pytest.mark.django_db

MOST = {"postgresql": 8, "sqlite": 9}
"""SQLite logs a moved day by a statement of its own."""

LINES = {"volts_ab": "200 V", "volts_bc": 202, "volts_ca": 190}
FULL = LINES | {
    "amps_a": 3, "amps_b": 3, "amps_c": 3, "hour_meter": 4210, "vibration_motor_radial": 2.1,
    "grease_hood": 300, "grease_duct": 400, "grease_housing": 350,
}  # fmt: skip
METER = {"vibration_detector": "rms", "vibration_meter": "overall"}


def told(client: APIClient, payload: dict[str, Any]) -> tuple[Any, int]:
    """The answer, and how many statements it took; a test's transaction makes ours a savepoint."""
    with CaptureQueriesContext(connection) as asked:
        answer = client.post(VISITS, payload)
    assert answer.status_code in (200, 201)
    # What goes over several times in one call is logged as "2 times: UPDATE ...".
    counts = (
        int(sql.split(" ", 1)[0]) if sql.split(" ", 2)[1:2] == ["times:"] else 1
        for sql in (each["sql"] for each in asked.captured_queries)
        if "SAVEPOINT" not in sql
    )
    return answer.json(), sum(counts)


@pytest.fixture
def phone(roofs: Roofs, theo: Person) -> APIClient:
    """Theo's, after a first visit: a fan's first due row is made only once."""
    phone = by_key(theo)
    phone.post(VISITS, walk(roofs.bakery, "2026-01-20T09:10"))
    return phone


@pytest.mark.parametrize(
    "check",
    [
        {}, {"readings": LINES}, {"readings": FULL, "context": METER, "seen": WITHIN},
        {"readings": FULL, "context": METER, "seen": WITHIN | {"vibration_felt": "slight"}},
        {"seen": WITHIN | {"hinge": "broken", "guard": "off", "belt": "cracked"}},
    ],
)  # fmt: skip
def test_visit_when_posted_then_eight_statements_whatever_it_reads(
    check: dict[str, Any], roofs: Roofs, phone: APIClient
) -> None:
    _, count = told(phone, look(roofs.bakery, **check))
    assert count <= MOST[connection.vendor]


def test_visit_when_the_fan_has_a_long_record_then_no_more(roofs: Roofs, phone: APIClient) -> None:
    for day in range(1, 26):
        phone.post(
            VISITS, look(roofs.bakery, f"2026-02-{day:02}T09:10", readings=FULL, seen=WITHIN)
        )
    _, count = told(phone, look(roofs.bakery, readings=FULL, seen=WITHIN))
    assert count <= MOST[connection.vendor]


def loose_hinge(fan: Fan, phone: APIClient) -> str:
    """An older fault, which its own date quotes."""
    phone.post(VISITS, look(fan, "2026-02-10T09:10", seen={"hinge": "loose"}))
    return "inge"


def written_note(fan: Fan, phone: APIClient) -> str:
    """A fault that somebody wrote down."""
    finding = {"fan": fan.tag, "item": "conduit", "severity": "critical", "note": "Rats were here"}
    phone.post(VISITS, walk(fan, "2026-02-10T09:10", checks=[], findings=[finding]))
    return "Rats were here"


def incomplete_look(fan: Fan, phone: APIClient) -> str:
    """A look after a hood cleaning that leaves something out."""
    phone.post(EVENTS, cleaning(fan, "2026-02-10T23:00"))
    phone.post(VISITS, look(fan, "2026-02-12T09:10", seen={"running": "runs"}))
    return "left out"


def hidden_stop(fan: Fan, phone: APIClient) -> str:
    """A stop behind an older finding of the same rule."""
    recheck = {"seen": {"hinge": "loose"}, "recheck": {"hinge": "2026-02-11"}}
    phone.post(VISITS, look(fan, "2026-02-10T09:10", **recheck))
    phone.post(VISITS, look(fan, "2026-02-14T09:10", seen={"guard": "off"}))
    return "guard is off"


def salt_air(fan: Fan, phone: APIClient) -> str:
    """A site whose air makes its fans be walked monthly."""
    fan.site.surroundings = "coastal"
    fan.site.save()
    return "salt air"


@pytest.mark.parametrize(
    "before", [loose_hinge, written_note, incomplete_look, hidden_stop, salt_air]
)
def test_visit_when_its_dates_quote_what_is_older_then_no_more(
    before: Any, roofs: Roofs, phone: APIClient
) -> None:
    quoted = before(roofs.bakery, phone)
    answer, count = told(phone, look(roofs.bakery, readings={"hour_meter": 4210}))
    assert (quoted in str(answer["due"]), count <= MOST[connection.vendor]) == (True, True)


def test_visit_when_of_several_fans_then_no_more(roofs: Roofs, phone: APIClient) -> None:
    twin = Fan.objects.create(
        site=roofs.bakery.site, system=roofs.bakery.system, tag="EF-7", entered_on="2026-01-01"
    )
    checks = [{"fan": fan.tag, "readings": LINES, "seen": WITHIN} for fan in (roofs.bakery, twin)]
    counts = [
        told(phone, walk(roofs.bakery, f"2026-03-{day}T09:10", checks=checks))[1]
        for day in ("02", "03")
    ]
    assert counts[-1] <= MOST[connection.vendor] + 2 * (connection.vendor == "sqlite")


def test_visit_when_sent_again_then_four_statements(roofs: Roofs, phone: APIClient) -> None:
    payload = look(roofs.bakery, readings=FULL, context=METER, seen={"hinge": "loose"})
    phone.post(VISITS, payload)
    assert told(phone, payload)[1] == 4


def test_correction_when_sent_again_then_one_more_for_answers_it_dropped(
    roofs: Roofs, phone: APIClient
) -> None:
    payload = look(roofs.bakery, readings=LINES)
    phone.post(VISITS, payload)
    again = corrected(payload)
    phone.post(VISITS, again)
    assert told(phone, again)[1] == 5
