"""The bench at work: a small fleet in a database of its own, beside whichever is configured."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from schedules.bench.measuring import medians

pytestmark = pytest.mark.both
FANS = 100
RATIOS = (
    "ratio_to_read", "ratio_all_changed", "times_naive", "times_prefetch", "incremental_share",
    "rss_growth_mb", "batch_to_scalar", "slopes_to_scipy",
)  # fmt: skip


def run_bench(root: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """The command as people run it; its scratch database stands beside the tests' own server."""
    return subprocess.run(
        [sys.executable, "manage.py", "bench", "--skip-checks", *words],
        cwd=root, env={**os.environ}, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.fixture(scope="module")
def figures(root: Path) -> dict[str, Any]:
    """What `bench reckon` finds on a small fleet."""
    done = run_bench(root, "reckon", "--fans", str(FANS), "--json")
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_reckon_when_measured_then_no_fan_differs_from_its_record_or_the_oracle(
    figures: dict[str, Any],
) -> None:
    assert (figures["equal_to_oracle"], figures["differences"]) == (True, 0)


def test_reckon_when_measured_then_the_oracle_was_asked_of_many(figures: dict[str, Any]) -> None:
    assert figures["oracle_fans"] >= FANS // 10


def test_reckon_when_measured_then_on_the_configured_database(figures: dict[str, Any]) -> None:
    assert (figures["database"], figures["fans"]) == (connection.vendor, FANS)


@pytest.mark.parametrize("ratio", RATIOS)
def test_reckon_when_measured_then_every_ratio_is_some(figures: dict[str, Any], ratio: str) -> None:
    assert figures[ratio] > 0


@pytest.mark.once
def test_reckon_when_asked_of_too_few_fans_then_says_so() -> None:
    with pytest.raises(CommandError, match="3 fans are too few"):
        call_command("bench", "reckon", "--fans", "3")


@pytest.mark.once
def test_post_when_measured_beside_whole_reckonings_then_no_date_is_lost(root: Path) -> None:
    done = run_bench(root, "post", "--posts", "100", "--fans", "12", "--json")
    assert done.returncode == 0, done.stderr
    figures = json.loads(done.stdout)
    assert (figures["posts"], figures["lost"]) == (100, 0)
    assert {"ratio_p50", "ratio_p95", "ratio_p99", "lock_wait_ms"} <= figures.keys()


@pytest.mark.once
def test_notices_when_measured_then_the_second_turn_has_nothing_to_write(root: Path) -> None:
    done = run_bench(root, "notices", "--fans", "40", "--json")
    assert done.returncode == 0, done.stderr
    figures = json.loads(done.stdout)
    assert (figures["fans"], figures["turn_written"]) == (40, 0)
    assert min(figures["first_written"], figures["slips"], figures["advice"]) > 0
    names = [kind["name"] for kind in figures["kinds"]]
    assert names[:4] == ["critical", "made_safe", "link", "day"]


@pytest.mark.once
def test_patterns_when_measured_then_the_turn_after_has_nothing_to_write(root: Path) -> None:
    done = run_bench(root, "patterns", "--fans", "60", "--json")
    assert done.returncode == 0, done.stderr
    figures = json.loads(done.stdout)
    assert (figures["fans"], figures["losses"] > 0, figures["written_again"]) == (60, True, 0)


def test_medians_when_taken_then_in_turns_and_prepared_each_time() -> None:
    calls: list[str] = []
    works = {name: (lambda name=name: calls.append(name)) for name in "ab"}
    medians(works, {"b": lambda: calls.append("ready")}, rounds=2)
    assert calls == ["a", "ready", "b"] * 2
