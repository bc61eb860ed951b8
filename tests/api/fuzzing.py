"""The API's own schema as schemathesis reads it, asked in process, with ids that are on record."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from schemathesis.checks import not_a_server_error
from schemathesis.config import (
    ChecksConfig,
    GenerationConfig,
    PhasesConfig,
    ProjectConfig,
    ProjectsConfig,
    SchemathesisConfig,
)
from schemathesis.config._checks import MissingRequiredHeaderConfig, NegativeDataRejectionConfig
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi import checks

from config.wsgi import application
from fleet.models import Person
from fleet.services.keys import give_key
from schedules.services import log_event, log_visit
from tests.api.asking import V1
from tests.api.logs import cleaning, walk
from tests.api.register import addresses_of, lay_register
from tests.api.served import schema
from tests.done.promises import at, publish
from tests.patterns.failing import pattern_of
from tests.people import Roofs
from tests.visits.roofs import NOW
from visits.models import Finding, Recommendation

EXAMPLES = int(os.environ.get("SCHEMATHESIS_EXAMPLES", "0"))
"""Drawn for every operation; 0 is the short run."""
SEED = int(os.environ.get("SCHEMATHESIS_SEED", "1"))
# Not that what is right by the schema is taken: names, days and ids must be on record as well.
CHECKED = [
    checks.allow_header_conformance, checks.content_type_conformance, checks.ignored_auth,
    checks.missing_required_header, checks.negative_data_rejection, not_a_server_error,
    checks.response_headers_conformance, checks.response_schema_conformance,
    checks.status_code_conformance, checks.unsupported_method,
]  # fmt: skip
FOLLOWED = [checks.use_after_free, checks.ensure_resource_availability]


def asked_in_process(environ: Any, start_response: Any) -> Any:
    """The application inside the test's own transaction, whose connection it must not close."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    try:
        answer = application(environ, start_response)
        answer.close()
        return answer
    finally:
        for signal in (request_started, request_finished):
            signal.connect(close_old_connections)


def load_schema(*phases: str) -> Any:
    """The schema as served; of schemathesis' phases those named."""
    missing = MissingRequiredHeaderConfig(expected_statuses=[400, 401, 403, 404, 428])
    # 412: an edit of another state is refused before its body is read (RFC 9110, 13.2.1)
    wrong = NegativeDataRejectionConfig(
        expected_statuses=[400, 401, 403, 404, 405, 406, 409, 412, 413, 415, 422, 428]
    )
    project = ProjectConfig(
        phases=PhasesConfig(),
        checks=ChecksConfig(missing_required_header=missing, negative_data_rejection=wrong),
        generation=GenerationConfig(deterministic=not EXAMPLES),
    )  # fmt: skip
    project.phases.update(phases=list(phases))
    config = SchemathesisConfig(projects=ProjectsConfig(default=project), seed=SEED)
    loaded = schemathesis.openapi.from_dict(schema(), config=config)
    loaded.app = asked_in_process
    return loaded


def key_header(person: Person) -> dict[str, str]:
    """What somebody's phone sends."""
    return {"Authorization": f"Token {give_key(person=person, name='phone')[1]}"}


@contextmanager
def undone() -> Iterator[None]:
    """Whatever is stored inside is gone afterwards: each example finds the same record."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@dataclass(frozen=True)
class OnRecord:
    """What a request must name to be about something: ids by list, other values by member."""

    ids: dict[str, Any]
    members: dict[tuple[str, type], Any]

    def settle(self, case: Any) -> Any:
        """The same request about what is on record, so that it gets beyond its 404 or 400.

        Left alone: what is meant to be wrong, and a part of what is meant to be right.
        """
        if case.meta.generation.mode != GenerationMode.POSITIVE:
            return case
        steps = case.operation.path.removeprefix(f"{V1}/").split("/")
        for name, value in case.path_parameters.items():
            known = self.members.get((name, str)) or self.ids.get(steps[0])
            if len(str(value)) != 3:
                case.path_parameters[name] = known
        if len((case.headers or {}).get("If-Match", "any")) != 3:
            case.headers["If-Match"] = "*"
        if isinstance(case.body, (dict, list)):
            case.body = self.named(case.body)
        return case

    def named(self, told: Any) -> Any:
        """The same body with names of what is on record."""
        if isinstance(told, list):
            return [self.named(each) for each in told]
        if not isinstance(told, dict) or len(told) == 1:
            return told
        return {
            name: self.members.get((name, type(value))) or self.named(value)
            for name, value in told.items()
        }


def lay_record(roofs: Roofs, by: Person) -> OnRecord:
    """A register and a short record of its first fan, and what names them."""
    lay_register(roofs)
    fan = roofs.bakery
    told = {"fan": fan.tag, "subject": "hinge"}
    visit = walk(
        fan, findings=[{**told, "severity": "critical"}],
        recommendations=[{**told, "text": "Renew the pins."}],
    )  # fmt: skip
    event = cleaning(fan)
    log_visit(payload=visit, by=by, now=NOW)
    log_event(payload=event, by=by, now=NOW)
    stop = publish((fan, "tue", by), when=at("fri", "16:00", -41), weeks=-40)[0]
    ids = {
        name: int(address.rpartition("/")[2]) for name, address in vars(addresses_of(fan)).items()
    }
    ids |= {
        "visits": visit["id"],
        "events": event["id"],
        "due": fan.pk,
        "patterns": pattern_of(fan).pk,
        "people": by.pk,
        "keys": str(give_key(person=by, name="old phone")[0].id),
    }
    members = {
        ("fan", str): fan.tag, ("owner", str): fan.site.owner.name, ("site", str): fan.site.name,
        ("system", str): fan.system.name, ("owner", int): ids["owners"],
        ("site", int): ids["sites"], ("system", int): ids["systems"], ("site_id", int): fan.site_id,
        ("fan", int): fan.pk,
        ("began_at", str): "2026-03-02T09:10", ("started", str): "2026-03-02T09:10",
        ("ended_at", str): "2026-03-02T10:10", ("ended", str): "2026-03-03",
        ("technician", str): by.username, ("closed_by", str): by.username,
        ("finding", str): str(Finding.objects.get().pk), ("tipped", list): [fan.tag],
        ("recommendation", str): str(Recommendation.objects.get().pk),
        ("supersedes", str): visit["id"], ("day", str): "2026-12-25",
        ("hours", str): "Mon-Sun 10-22", ("week", str): "2026-W09", ("stop", str): str(stop.key),
        ("failures", int): 2,
    }  # fmt: skip
    return OnRecord(ids, members)
