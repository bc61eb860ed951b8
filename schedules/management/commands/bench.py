"""Measure how fast this installation is, on invented fleets in a database of their own."""

from __future__ import annotations

import json
from argparse import ArgumentParser, ArgumentTypeError
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from schedules.bench.instances import solve_instance
from schedules.bench.letters import measure_letters
from schedules.bench.patterns import measure_patterns
from schedules.bench.posting import measure_posting
from schedules.bench.reckoning import measure_reckoning, pass_here, told
from schedules.bench.rounds import measure_week
from schedules.bench.scratch import scratch_database

SEARCH_SECONDS = 10.0
FEWEST = {
    "reckon": (100, "fans", "to measure anything"),
    "post": (100, "posts", "to tell a 99th percentile"),
}
"""Of less nothing is told: known before any fleet is invented."""


def _seconds(text: str) -> float:
    seconds = float(text)
    if not 0 < seconds < float("inf"):
        raise ArgumentTypeError(f"{text} is no time to search; give seconds above 0")
    return seconds


def _refuse_too_few(options: dict[str, Any]) -> None:
    least, what, why = FEWEST.get(options["subject"], (0, "fans", ""))
    if options[what] < least:
        raise CommandError(f"{options[what]} {what} are too few {why}; ask for {least} or more")


class Command(BaseCommand):
    """Speed and memory, as ratios taken within one run."""

    help = (
        "Measure speed. `bench reckon` invents a fleet in a scratch database beside the configured "
        "one (SQLite file or PostgreSQL database, removed afterwards) and times a whole pass over "
        "it; `bench post` posts visits to a server over such a fleet, in turn with bare inserts; "
        "`bench notices` writes letters to a fleet that has years behind it, twice; "
        "`bench patterns` looks for what keeps failing in such a fleet; `bench pass` "
        "times one full pass over the configured database as it is; `bench rounds` plans an "
        "invented week, or solves a published problem from its VRPLIB file and says how "
        "far from the best known it is where a .sol lies beside it. For example: "
        "bench reckon --fans 100000 --json; bench post --posts 500; "
        "bench rounds --fans 200 --seconds 10; bench rounds RC208.vrp --seconds 10 --json."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        subjects = parser.add_subparsers(dest="subject", required=True)
        reckon = subjects.add_parser("reckon", help="a pass over an invented fleet")
        reckon.add_argument(
            "--fans", type=int, default=10_000, help="how many (10000); 2000 have full records"
        )
        reckon.add_argument(
            "--changed", choices=["few", "all"], default="few",
            help="rows the full pass finds changed: few is 3.3 percent",
        )  # fmt: skip
        post = subjects.add_parser("post", help="visits posted to a server over such a fleet")
        post.add_argument("--posts", type=int, default=500, help="how many visits (500)")
        post.add_argument("--fans", type=int, default=400, help="of how many fans (400)")
        notices = subjects.add_parser("notices", help="a turn of writing notices, kind by kind")
        notices.add_argument(
            "--fans", type=int, default=2000, help="how many (2000): so many lives, put down again"
        )
        patterns = subjects.add_parser("patterns", help="what keeps failing, over a whole fleet")
        patterns.add_argument("--fans", type=int, default=2000, help="how many (2000)")
        alone = subjects.add_parser("pass", help="one pass over the database as it is")
        alone.add_argument("--again", action="store_true", help="pass on until told to stop")
        rounds = subjects.add_parser("rounds", help="a week of rounds, or a published problem")
        rounds.add_argument("file", nargs="?", type=Path, help="VRPLIB file; else an invented week")
        bound = rounds.add_mutually_exclusive_group()
        bound.add_argument("--seconds", type=_seconds, help="how long to search (10)")
        bound.add_argument("--iterations", type=int, help="bound the search by these instead")
        rounds.add_argument("--seed", type=int, default=1, help="of the search and the week (1)")
        rounds.add_argument("--fans", type=int, default=200, help="of the invented week (200)")
        rounds.add_argument("--sites", type=int, help="where they stand (9 for each 20 fans)")
        rounds.add_argument("--technicians", type=int, help="who goes (one for each 50 fans)")
        for each in (reckon, post, notices, patterns, alone, rounds):
            each.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["subject"] == "pass":
            while True:
                self._give(pass_here(timezone.now()), as_json=options["json"])
                if not options["again"]:
                    return
        try:
            if options["subject"] == "rounds":
                figures = self._measure_rounds(options)
            else:
                _refuse_too_few(options)
                with scratch_database() as address:
                    figures = self._measure(options, address)
        except ValueError as error:
            raise CommandError(str(error)) from error
        self._give(figures, as_json=options["json"])

    def _measure_rounds(self, options: dict[str, Any]) -> Any:
        search = {name: options[name] for name in ("seconds", "iterations", "seed")}
        if options["seconds"] is None and options["iterations"] is None:
            search["seconds"] = SEARCH_SECONDS
        if options["file"]:
            return solve_instance(options["file"], **search)
        size = {name: options[name] for name in ("fans", "sites", "technicians")}
        return measure_week(tell=self.stderr.write, **size, **search)

    def _measure(self, options: dict[str, Any], address: str) -> Any:
        about: dict[str, Any] = {
            "address": address,
            "now": timezone.now(),
            "tell": self.stderr.write,
        }
        if options["subject"] == "post":
            return measure_posting(fans=options["fans"], posts=options["posts"], **about)
        if options["subject"] == "notices":
            return measure_letters(fans=options["fans"], **about)
        if options["subject"] == "patterns":
            return measure_patterns(fans=options["fans"], **about)
        changed = options["changed"] == "all"
        return measure_reckoning(fans=options["fans"], all_changed=changed, **about)

    def _give(self, figures: Any, *, as_json: bool) -> None:
        self.stdout.write(json.dumps(asdict(figures), indent=2) if as_json else told(figures))
