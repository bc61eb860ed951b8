"""Visits and events in any order: the short way to their dates ends where the whole way does."""

from __future__ import annotations

from itertools import count
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from schedules.due.kept import kept_answers
from schedules.due.reckoning import reckon_fans, reckon_fleet
from schedules.due.truth import ReadAhead, read_truth
from schedules.engine import grease, inspection
from schedules.engine.rules import RULE_MODULES
from schedules.models import DueState, FanHistory
from schedules.services import log_event, log_visit
from tests.api.test_phones import CHECKS, DAYS, HAPPENED, TOLD
from tests.visits.roofs import NOW, WITHIN, make_roof
from visits.services import Rows

pytestmark = pytest.mark.django_db

REPLACED: dict[str, Any] = {
    "actions": [{"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": {"power_hp": 2}}]
}
numbers = count(1)
TAGS = st.sampled_from(["EF-1", "EF-2"])
SEEN = st.tuples(TAGS, st.lists(st.sampled_from(CHECKS), min_size=1, max_size=2))
STEPS = st.one_of(
    st.tuples(st.just("only_checks"), DAYS, SEEN, st.just(lambda fan: {})),
    st.tuples(st.just("visit"), DAYS, SEEN, st.sampled_from([*TOLD, lambda fan: REPLACED])),
    st.tuples(st.just("correct"), DAYS, SEEN, st.just(lambda fan: {})),
    st.tuples(st.just("event"), DAYS, SEEN, st.sampled_from(HAPPENED).map(lambda e: lambda _: e)),
)  # fmt: skip


class Sending:
    """A roof and what was sent about it; no two records begin at one minute, but by chance."""

    def __init__(self) -> None:
        number = next(numbers)
        self.roof = make_roof(owner=f"Owner {number}", site=f"Roof {number}")
        reckon_fans(fan_ids=[fan.pk for fan in self.roof.fans.all()], now=NOW)
        self.sent: list[str] = []

    def send(self, what: str, day: Any, seen: Any, more: Any) -> None:
        tag, checks = seen
        moment = f"{day.isoformat()}T{6 + len(self.sent):02}:00"
        told: dict[str, Any] = {"id": str(uuid4()), "site_id": self.roof.pk, **more(tag)}
        if what == "event":
            log_event(payload={**told, "started": moment}, by=None, now=NOW)
            return
        stages = zip(("as_found", "as_left"), checks, strict=False)
        told["checks"] = [{"fan": tag, "stage": stage, **each} for stage, each in stages]
        if what == "correct" and self.sent:
            told |= {"supersedes": self.sent.pop(), "correction_reason": "typed wrong"}
        log_visit(payload={**told, "kind": "walk_through", "began_at": moment}, by=None, now=NOW)
        self.sent.append(told["id"])


def stored() -> list[Any]:
    """Every date with what it was reckoned from, as it lies in the database."""
    due = DueState.objects.order_by("fan_id").values(
        "fan_id", "revision", "reckoned_revision", "due_on", "due_rule", "overdue_after",
        "overdue_rule", "not_before", "dates", "worst_verdict", "made_safe_on", "fault",
    )  # fmt: skip
    rows = FanHistory.objects.order_by("fan_id").values("fan_id", "version", "revision", "row")
    return [{name: _plain(value) for name, value in row.items()} for row in (*due, *rows)]


def _plain(value: Any) -> Any:
    return bytes(value) if isinstance(value, memoryview) else value


@settings(
    max_examples=25, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate),
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip
@given(st.lists(STEPS, min_size=2, max_size=7))
def test_dates_when_kept_after_anything_then_as_reckoned_from_the_whole_record(
    steps: list[Any],
) -> None:
    with transaction.atomic():
        sending = Sending()
        for step in steps:
            sending.send(*step)
            short = stored()
            reckon_fleet(now=NOW, only_stale=False, from_truth=True)
            assert short == stored()
        transaction.set_rollback(True)


def kept_of(fan_id: int) -> list[int]:
    """Places of the rules that need not be reckoned, were its record to stay as it is."""
    packed = bytes(FanHistory.objects.get(fan=fan_id).row)
    return list(kept_answers(ReadAhead([fan_id]).write(Rows()), packed))


def seen_fan() -> int:
    sending = Sending()
    checks = [{"seen": dict(WITHIN), "readings": {"grease_duct": 300}}]
    sending.send("visit", NOW.date(), ("EF-1", checks), lambda fan: {})
    fan_id: int = sending.roof.fans.get(tag="EF-1").pk
    return fan_id


def test_fan_when_nothing_changes_then_every_answer_is_kept() -> None:
    assert kept_of(seen_fan()) == list(range(len(RULE_MODULES)))


def test_fan_when_its_dates_were_not_reckoned_from_its_history_then_none_is_kept() -> None:
    fan_id = seen_fan()
    FanHistory.objects.filter(fan=fan_id).update(revision=0)
    assert kept_of(fan_id) == []


def test_fan_when_its_record_is_read_without_history_then_none_is_kept() -> None:
    fan_id = seen_fan()
    packed = bytes(FanHistory.objects.get(fan=fan_id).row)
    assert kept_answers(read_truth([fan_id]), packed) == {}


def test_kept_answer_when_a_stored_one_differs_then_it_is_the_stored_one() -> None:
    """What is kept is not reckoned: told by an answer that no reckoning would give."""
    fan_id = seen_fan()
    place, due = RULE_MODULES.index(inspection), DueState.objects.get(fan=fan_id)
    marked = bytearray(due.dates or b"")
    marked[5 + 4 * place] ^= 1
    DueState.objects.filter(fan=fan_id).update(dates=bytes(marked))
    truth, row = ReadAhead([fan_id]).write(Rows()), FanHistory.objects.get(fan=fan_id).row
    answers = kept_answers(truth, bytes(row))
    whole = read_truth([fan_id]).due[0]["dates"]
    assert bytes(whole) == bytes(marked)
    assert int(answers[place].due_day[0]) & 1 == marked[5 + 4 * place] & 1
    assert RULE_MODULES.index(grease) in answers
