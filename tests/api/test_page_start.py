"""What somebody finds who opens the API's page for the first time, and the ways there and back."""

from __future__ import annotations

import re
import subprocess
import sys
from uuid import UUID

import pytest

from config.api.start import START
from fleet.models import Person
from fleet.quantities import MEASURED
from tests.api.asking import V1
from tests.api.served import operations, schema
from tests.people import Roofs, signed_in
from visits.payload.names import short_name

GREASE = "grease"


def test_start_when_read_then_names_only_operations_that_there_are() -> None:
    named = {
        f"{method} {path}"
        for method, path in re.findall(r"`(GET|POST|DELETE) (/[a-z/{}]+)", START)
    }  # fmt: skip
    assert named <= {name for name, _ in operations()}
    assert len(named) >= 8


def test_start_when_read_then_leads_back_to_the_pages() -> None:
    assert schema()["info"]["description"].startswith(START)
    assert "](/)" in START


def test_line_that_makes_an_id_when_run_then_a_random_uuid() -> None:
    (line,) = re.findall(r"`python3 -c '([^`']+)'`", START)
    told = subprocess.run([sys.executable, "-c", line], capture_output=True, text=True, check=True)
    assert UUID(told.stdout.strip()).version == 4


def test_ways_to_sign_in_when_listed_then_the_key_first() -> None:
    assert next(iter(schema()["components"]["securitySchemes"])) == "deviceKey"


@pytest.mark.parametrize(
    "name", [(short_name(each), each.accepted) for each in MEASURED if each.rule != GREASE]
)
def test_reading_when_looked_up_then_every_unit_that_is_taken_is_told(
    name: tuple[str, tuple[str, ...]],
) -> None:
    reading, accepted = name
    told = schema()["components"]["schemas"]["ReadingsSentRequest"]["properties"][reading]
    assert [unit for unit in accepted if unit not in told["description"]] == []


@pytest.mark.parametrize("who", ["dana", "theo", "olga"])
def test_pages_when_open_then_lead_people_of_the_company_to_the_api(
    who: str, roofs: Roofs, request: pytest.FixtureRequest
) -> None:
    person: Person = request.getfixturevalue(who)
    page = signed_in(person).get("/").content.decode()
    assert (f'href="{V1}/"' in page) == person.works_here
