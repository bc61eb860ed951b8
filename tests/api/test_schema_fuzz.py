"""Whatever the schema allows or forbids is sent: nothing answers otherwise than declared."""

from __future__ import annotations

import json
import os
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.api.asking import V1
from tests.api.fuzzing import (
    CHECKED,
    EXAMPLES,
    FOLLOWED,
    OnRecord,
    key_header,
    lay_record,
    load_schema,
    undone,
)
from tests.api.laid import kept_mara, kept_olga, kept_roofs, kept_rows, kept_theo  # noqa: F401
from tests.people import Roofs

pytestmark = pytest.mark.django_db
# What these take is so wide that walking all its edges is left to the long run.
WIDE = r"/(visits|visits/batch|judge|fans|fans/\{id\}/machines|machines/\{id\})$"
RECORDS = ("visits", "events", "decisions", "closings", "judge")
drawn = ["examples", "fuzzing", *(["coverage"] if EXAMPLES else [])]
narrow = load_schema("examples", "coverage", "fuzzing").exclude(path_regex=WIDE)
wide = load_schema(*drawn).include(path_regex=WIDE)
whole = load_schema(*drawn)
linked = load_schema("stateful")
much = settings(max_examples=EXAMPLES or 10, deadline=None, suppress_health_check=list(HealthCheck))
little = settings(much, max_examples=EXAMPLES or 3)
ANSWERED: Counter[str] = Counter()


@pytest.fixture(scope="module", autouse=True)
def counted() -> Iterator[None]:
    """Where wanted, a file tells how often which operation was answered with what."""
    yield
    if told := os.environ.get("SCHEMATHESIS_COUNTS"):
        Path(told).write_text(json.dumps(dict(sorted(ANSWERED.items())), indent=1))


@pytest.fixture(scope="module")
def asker(request: pytest.FixtureRequest, roofs: Roofs) -> Iterator[Any]:
    """What is on record, and somebody's key."""
    person = request.getfixturevalue(request.param)
    with undone():
        yield lay_record(roofs, person), key_header(person)


def ask(case: Any, asker: tuple[OnRecord, dict[str, str]]) -> None:
    on_record, key = asker
    with undone():
        answer = on_record.settle(case).call(headers=key)
        ANSWERED[f"{case.operation.label} {answer.status_code}"] += 1
        case.validate_response(answer, checks=wanted_of(case.operation.path), headers=key)


def wanted_of(path: str) -> list[Any]:
    """What an answer is checked for.

    The documented format of records takes more than its schema says: null is left out, a number
    may stand for a text; and a batch is taken whatever its items are.
    """
    lenient = path.removeprefix(V1).split("/")[1] in RECORDS
    return [each for each in CHECKED if not (lenient and each.__name__.startswith("negative"))]


@pytest.mark.attack
@pytest.mark.parametrize("asker", ["mara"], indirect=True)
@narrow.parametrize()
@much
def test_operation_when_asked_anything_then_answers_as_declared(case: Any, asker: Any) -> None:
    ask(case, asker)


@pytest.mark.attack
@pytest.mark.parametrize("asker", ["mara"], indirect=True)
@wide.parametrize()
@much
def test_wide_operation_when_asked_anything_then_answers_as_declared(case: Any, asker: Any) -> None:
    ask(case, asker)


@pytest.mark.once
@pytest.mark.parametrize("asker", ["theo", "olga"], indirect=True)
@whole.parametrize()
@little
def test_operation_when_asked_anything_by_others_then_answers_as_declared(
    case: Any, asker: Any
) -> None:
    ask(case, asker)


@pytest.mark.parametrize("asker", ["mara"], indirect=True)
def test_operations_when_one_follows_from_another_then_answer_as_declared(asker: Any) -> None:
    on_record, key = asker

    class Followed(linked.as_state_machine()):  # type: ignore[misc]
        def setup(self) -> None:
            self.inside = transaction.atomic()
            self.inside.__enter__()

        def teardown(self) -> None:
            transaction.set_rollback(True)
            self.inside.__exit__(None, None, None)

        def get_call_kwargs(self, case: Any) -> dict[str, Any]:
            return {"headers": key}

        def before_call(self, case: Any) -> None:
            on_record.settle(case)

        def after_call(self, response: Any, case: Any) -> None:
            ANSWERED[f"followed {case.operation.label} {response.status_code}"] += 1

        def validate_response(self, response: Any, case: Any, **told: Any) -> None:
            checks = [*wanted_of(case.operation.path), *FOLLOWED]
            case.validate_response(response, checks=checks, headers=key)

    run_state_machine_as_test(
        Followed, settings=settings(much, max_examples=EXAMPLES or 5, stateful_step_count=8)
    )
