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
from schedules.bench.policies.figures import Figures, measure_policies
from schedules.bench.policies.picture import policies_told, shaken_told
from schedules.bench.policies.runs import NAMES
from schedules.bench.policies.sensitivity import Shaken, shake_out
from schedules.bench.posting import measure_posting
from schedules.bench.reckoning import measure_reckoning, pass_here, told
from schedules.bench.rounds import measure_week
from schedules.bench.scratch import scratch_database
from schedules.bench.world.assumptions import WORLDS

SEARCH_SECONDS = 10.0
FEWEST = {
    "reckon": (100, "fans", "to measure anything"),
    "post": (100, "posts", "to tell a 99th percentile"),
    "policy": (1, "fans", "to visit"),
}
"""Of less nothing is told: known before any fleet is invented."""


def _seconds(text: str) -> float:
    seconds = float(text)
    if not 0 < seconds < float("inf"):
        raise ArgumentTypeError(f"{text} is no time to search; give seconds above 0")
    return seconds


def _setting(text: str) -> tuple[str, float]:
    name, _, value = text.partition("=")
    try:
        return name, float(value) if "." in value else int(value)
    except ValueError as error:
        raise ArgumentTypeError(f"{text} is no setting; give NAME=NUMBER") from error


def _refuse_too_few(options: dict[str, Any]) -> None:
    least, what, why = FEWEST.get(options["subject"], (0, "fans", ""))
    if options[what] < least:
        raise CommandError(f"{options[what]} {what} are too few {why}; ask for {least} or more")


def _words(figures: Any) -> str:
    if isinstance(figures, Figures):
        return policies_told(figures)
    return shaken_told(figures) if isinstance(figures, Shaken) else told(figures)


def _add_rounds(rounds: ArgumentParser) -> None:
    rounds.add_argument("file", nargs="?", type=Path, help="VRPLIB file; else an invented week")
    bound = rounds.add_mutually_exclusive_group()
    bound.add_argument("--seconds", type=_seconds, help="how long to search (10)")
    bound.add_argument("--iterations", type=int, help="bound the search by these instead")
    rounds.add_argument("--seed", type=int, default=1, help="of the search and the week (1)")
    rounds.add_argument("--fans", type=int, default=200, help="of the invented week (200)")
    rounds.add_argument("--sites", type=int, help="where they stand (9 for each 20 fans)")
    rounds.add_argument("--technicians", type=int, help="who goes (one for each 50 fans)")


def _add_policy(policy: ArgumentParser) -> None:
    policy.add_argument(
        "--world",
        choices=[*WORLDS, "all"],
        default="rough",
        help="which simulated fleet (rough)",
    )
    policy.add_argument("--seed", type=int, default=1, help="of its luck, the first one (1)")
    policy.add_argument("--seeds", type=int, default=1, help="how many, for intervals (1)")
    policy.add_argument("--fans", type=int, default=100, help="how many (100)")
    policy.add_argument("--weeks", type=int, default=156, help="how long (156, three years)")
    policy.add_argument(
        "--set", type=_setting, action="append", default=[], metavar="NAME=VALUE",
        help="give the engine another setting, as walk.base_months=3; may be repeated",
    )  # fmt: skip
    policy.add_argument(
        "--policies", nargs="+", default=NAMES, metavar="NAME",
        help="only these, as none 'fixed 1' 'engine x3' or, in the last week before overdue, "
        "'late x1'; aims need the usual ones",
    )  # fmt: skip
    policy.add_argument(
        "--sensitivity", nargs="*", metavar="ASSUMPTION",
        help="instead change each assumption (or those named) by half, and name the worst case",
    )  # fmt: skip


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
        "far from the best known it is where a .sol lies beside it; `bench policy` holds the "
        "engine's dates against fixed rounds in a simulated fleet, where nothing is timed. "
        "For example: "
        "bench reckon --fans 100000 --json; bench post --posts 500; "
        "bench rounds --fans 200 --seconds 10; bench rounds RC208.vrp --seconds 10 --json; "
        "bench policy --world coastal --fans 100."
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
        _add_rounds(rounds)
        policy = subjects.add_parser("policy", help="the engine against fixed rounds, simulated")
        _add_policy(policy)
        for each in (reckon, post, notices, patterns, alone, rounds, policy):
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
            elif options["subject"] == "policy":
                figures = self._measure_policy(options)
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

    def _measure_policy(self, options: dict[str, Any]) -> Any:
        _refuse_too_few(options)
        for what in ("seeds", "weeks"):
            if options[what] < 1:
                raise CommandError(f"{options[what]} {what} are too few; ask for 1 or more")
        if options["seed"] < 0:
            raise CommandError(f"seed {options['seed']} is below 0; give a whole number from 0 up")
        about: dict[str, Any] = {
            "seeds": range(options["seed"], options["seed"] + options["seeds"]),
            "fans": options["fans"],
            "weeks": options["weeks"],
            "tell": self.stderr.write,
        }
        every = list(WORLDS) if options["world"] == "all" else [options["world"]]
        if options["sensitivity"] is not None:
            if len(every) > 1:
                raise CommandError("one world at a time is shaken; name it with --world")
            return shake_out(world=every[0], assumptions=options["sensitivity"], **about)
        chosen = {"settings": dict(options["set"]), "names": options["policies"]}
        return measure_policies(worlds=every, **chosen, **about)

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
        self.stdout.write(json.dumps(asdict(figures), indent=2) if as_json else _words(figures))
