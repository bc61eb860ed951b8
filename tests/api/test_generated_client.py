"""A client that a generator makes of the schema alone logs a visit on a real server."""

from __future__ import annotations

import datetime as dt
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from fleet.models import Person
from fleet.services.keys import give_key
from tests.api.served import schema
from tests.people import Roofs

pytestmark = [pytest.mark.generator, pytest.mark.django_db(transaction=True)]
NAME = "generated_roofround"
PICTURES = {
    "GET /api/v1/photos/{id}/image", "GET /api/v1/photos/{id}/thumbnail",
    "POST /api/v1/visits/{visit}/photos",
}  # fmt: skip


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """Gives parts of the client by their path, as ``models`` or ``api.visits.visits_create``."""
    folder: Path = tmp_path_factory.mktemp("client")
    (folder / "schema.json").write_text(json.dumps(schema()))
    (folder / "config.yml").write_text("post_hooks: []\n")
    told = subprocess.run(
        [sys.executable, "-m", "openapi_python_client", "generate", "--path", "schema.json",
         "--config", "config.yml", "--output-path", NAME, "--meta", "none"],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip
    warned = re.findall(r"^WARNING parsing (.*) within", told.stdout + told.stderr, re.MULTILINE)
    # The generator has no type for a picture; all else must be understood.
    assert (told.returncode, {*warned} - PICTURES) == (0, set()), told.stdout + told.stderr
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(folder)
        yield lambda part: import_module(f"{NAME}.{part}")


@pytest.fixture
def send(generated: Any, live_server: Any, theo: Person) -> Iterator[Any]:
    """Posts a visit by the client with Theo's key; gives its typed answer."""
    _, token = give_key(person=theo, name="phone")
    client = generated("client").AuthenticatedClient(str(live_server), token, prefix="Token")
    post = generated("api.visits.visits_create").sync_detailed
    with client:
        yield lambda visit: post(client=client, body=visit)


@pytest.fixture
def visit(generated: Any, roofs: Roofs) -> Any:
    """A walk-through of the bakery's fan, whose hinge is broken, in the client's own types."""
    models = generated("models")
    check = models.CheckSentRequest(
        fan=roofs.bakery.tag,
        seen=models.SeenSentRequest(hinge=models.SeenSentRequestHinge.BROKEN),
        readings=models.ReadingsSentRequest(volts_ab=200, volts_bc="202 V"),
    )
    return models.VisitSentRequest(
        id=uuid4(),
        kind=models.VisitSentRequestKind.WALK_THROUGH,
        began_at="2026-03-02T09:10",
        site_id=roofs.bakery.site_id,
        checks=[check],
    )


def test_visit_when_sent_by_a_generated_client_then_verdict_and_date_in_its_types(
    send: Any, visit: Any
) -> None:
    answer = send(visit)
    (check,), (due,) = answer.parsed.checks, answer.parsed.due
    days = {each.rule: each.due_on for each in due.dates}
    # Rules B: a broken hinge is a stop; C: a stop is followed up on the day it was found, and a
    # system with no inspection on record is due two weeks after its fan was entered.
    assert (answer.status_code, check.worst, days["follow_up"], due.due_on) == (
        201, "stop", dt.date(2026, 3, 2), dt.date(2026, 1, 15),
    )  # fmt: skip


def test_visit_when_sent_again_by_a_generated_client_then_200_and_the_same(
    send: Any, visit: Any
) -> None:
    first, again = send(visit), send(visit)
    told = [answer.parsed.to_dict() | {"created": None} for answer in (first, again)]
    assert (again.status_code, told[0]) == (200, told[1])


def test_visit_when_wrong_then_a_generated_client_tells_where(
    generated: Any, send: Any, visit: Any
) -> None:
    visit.checks[0].fan = "EF-11"
    answer = send(visit)
    assert isinstance(answer.parsed, generated("models").Problem)
    (fault,) = answer.parsed.errors
    assert (answer.status_code, fault.pointer, fault.seen, "EF-1" in fault.remedy) == (
        400, "#/checks/0/fan", '"EF-11"', True,
    )  # fmt: skip
