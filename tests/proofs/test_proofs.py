"""The proofs at work, small: nothing is lost or doubled, and something was put to the test."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest


def prove(root: Path, *words: str) -> dict[str, Any]:
    """The figures of a proof that holds; the command as people run it."""
    done = subprocess.run(
        [sys.executable, "manage.py", "prove", *words, "--json"],
        cwd=root, env={**os.environ}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.postgres
def test_mail_when_senders_are_killed_and_the_server_fails_then_all_arrives(root: Path) -> None:
    figures = prove(root, "mail")
    assert figures["distinct"] == figures["notices"] >= 60
    assert figures["duplicates"] == figures["explained"]
    troubles = ("kills", "refusals_and_hang_ups", "slept_through", "overtaken")
    assert min(figures[name] for name in troubles) > 0


@pytest.mark.once
def test_weeks_when_clocks_change_and_the_year_ends_then_each_owner_has_its_letters(
    root: Path, tmp_path: Path
) -> None:
    figures = prove(root, "weeks", "--out", str(tmp_path / "weeks.json"))
    assert json.loads((tmp_path / "weeks.json").read_text()) == figures
    assert figures["sent"] == sum(figures["letters"].values()) > 15
    # ISO 8601: 2026 has 53 weeks
    weeks = {week for weeks in figures["by_owner"]["New Year"].values() for week in weeks}
    assert {"2026-W53", "2027-W01"} <= weeks


@pytest.mark.postgres
@pytest.mark.redis
def test_broker_when_redis_is_emptied_and_killed_then_all_work_is_done(root: Path) -> None:
    figures = prove(root, "broker")
    assert (figures["still_stale"], figures["lost"], figures["duplicates"]) == (0, 0, 0)
    assert (figures["emptied"], figures["killed"]) == (2, 1)
    assert figures["messages_lost"] > 0


@pytest.mark.postgres
def test_race_when_visits_are_posted_beside_workers_then_no_date_is_lost(root: Path) -> None:
    figures = prove(root, "race")
    assert (figures["lost"], figures["deadlocks"]) == (0, 0)
    assert figures["compared"] > figures["posts"]


@pytest.mark.postgres
def test_restart_when_the_database_stops_and_crashes_then_all_goes_on(root: Path) -> None:
    figures = prove(root, "restart")
    assert (figures["lost"], set(figures["answers"])) == (0, {"200", "201", "503"})
    assert (figures["stops"], figures["notices"], figures["visits"]) == (2, 80, 60)
