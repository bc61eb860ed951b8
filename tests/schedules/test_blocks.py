"""A fleet of several blocks, each written by another connection while the next is reckoned."""

from __future__ import annotations

import threading

import pytest

from fleet.models import Fan
from schedules.due import reading, reckoning, writing
from schedules.due.fresh import Fresh
from schedules.due.reckoning import reckon_fans, reckon_fleet
from schedules.models import DueChange, DueState, FanHistory
from schedules.revisions import raise_revisions
from tests.schedules.fans import NOW, make_fan, walk

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def several_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seven fans in blocks of three, of which no answer is too few to be copied."""
    monkeypatch.setattr(reading, "BLOCK", 3)
    monkeypatch.setattr(writing, "MANY", 1)
    for number in range(1, 8):
        fan = make_fan(f"EF-{number}")
        walk(fan, f"2026-03-0{number}", {"wheel": "act"} if number % 2 else {}, wheel="dirty")
    walk(fan, "2026-04-01").visit.made_safe.create(fan=fan, told="cook")


def rows() -> list[tuple[object, ...]]:
    return [
        tuple(bytes(value) if isinstance(value, memoryview) else value for value in row)
        for row in DueState.objects.order_by("fan").values_list()
    ]


def test_fleet_when_written_aside_then_each_row_is_as_by_one_statement() -> None:
    reckon_fleet(now=NOW)
    copied, histories = rows(), FanHistory.objects.count()
    DueState.objects.update(dates=None, due_on=None, due_rule=None, worst_verdict=0)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(writing, "MANY", 100)
        reckon_fans(fan_ids=list(Fan.objects.values_list("pk", flat=True)), now=NOW)
    assert (histories, rows()) == (7, copied)


def test_moves_when_copied_then_logged_with_what_was_before() -> None:
    reckon_fleet(now=NOW)
    DueState.objects.update(dates=None, due_on="2020-02-29")
    report = reckon_fleet(now=NOW, only_stale=False)
    told = {(str(change.due_on_before), change.changed_at) for change in DueChange.objects.all()}
    assert (report.changed, DueChange.objects.count(), told) == (7, 7, {("2020-02-29", NOW)})


def test_fleet_when_writing_fails_then_it_is_told_and_blocks_before_stay(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    threads = []

    def fail_at_the_second(*args: object) -> None:
        threads.append(threading.current_thread())
        if len(threads) == 2:
            raise RuntimeError("no room on the disk")
        writing.write_part(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(reckoning, "write_part", fail_at_the_second)
    with pytest.raises(RuntimeError, match="no room"):
        reckon_fleet(now=NOW)
    aside = threading.current_thread() not in threads
    assert (aside, DueState.objects.stale().count()) == (True, 4)


def test_visit_when_it_comes_before_its_block_is_written_then_the_fan_stays_stale(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def late(fresh: Fresh, *rest: object) -> None:
        raise_revisions(fresh.columns["fan_id"].tolist())
        writing.write_part(fresh, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(reckoning, "write_part", late)
    reckon_fleet(now=NOW)
    assert DueState.objects.stale().count() == 7
