"""Prove that nothing is lost or doubled while processes, servers and networks fail."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import asdict
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from schedules.bench.scratch import scratch_database
from schedules.management.commands.send_notices import instant
from schedules.proofs.broker import prove_broker
from schedules.proofs.hand import QuickClock, keep_forked, work_on, works_of
from schedules.proofs.mail import prove_mail
from schedules.proofs.month import prove_month
from schedules.proofs.race import prove_race
from schedules.proofs.restart import prove_restart
from schedules.proofs.weeks import prove_weeks


def in_scratch(prove: Callable[..., Any]) -> Callable[..., Any]:
    """The proof in a scratch database beside the configured one."""

    def proved(**about: Any) -> Any:
        with scratch_database() as address:
            return prove(address=address, **about)

    return proved


PROOFS: dict[str, tuple[Callable[..., Any], str]] = {
    "mail": (
        in_scratch(prove_mail),
        "senders killed while a mail server refuses, hangs up and is down",
    ),
    "broker": (in_scratch(prove_broker), "Redis emptied and killed under Celery's workers"),
    "weeks": (in_scratch(prove_weeks), "weeks of the timetable over clock changes and New Year"),
    "month": (in_scratch(prove_month), "a month on `serve` alone, with its letters and its pages"),
    "race": (in_scratch(prove_race), "visits posted while two workers reckon the fleet"),
    "restart": (prove_restart, "PostgreSQL stopped and crashing under work of all kinds"),
}


class Command(BaseCommand):
    """One proof with its figures; exit 1 with a sentence for each claim that does not hold."""

    help = (
        "Run a proof in a scratch database beside the configured one, with servers and processes "
        "of its own, and print its figures. Exit 1 where a claim does not hold. For example: "
        "prove mail --size full --json --out mail.json."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        subjects = parser.add_subparsers(dest="subject", required=True)
        for name, (_, about) in PROOFS.items():
            proof = subjects.add_parser(name, help=about)
            proof.add_argument(
                "--size",
                choices=["small", "full"],
                default="small",
                help="small takes at most a minute or so",
            )
            proof.add_argument("--seed", default="roof", help="draws another course of events")
            proof.add_argument("--json", action="store_true", help="print the figures as JSON")
            proof.add_argument("--out", type=Path, help="write the figures to this file, as JSON")
        hand = subjects.add_parser("hand", help="one worker of a proof, or several, until killed")
        hand.add_argument("works", nargs="+", choices=["send", "reckon", "wake"])
        hand.add_argument("--speed", type=float, default=1.0, help="how fast its clock runs (1)")
        hand.add_argument("--since", type=instant, default=timezone.now(), help="from when on")
        hand.add_argument("--pause", type=float, default=0.1, help="between rounds [s] (0.1)")
        hand.add_argument("--forks", type=int, default=0, help="so many at once, until killed")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["subject"] == "hand":
            clock = QuickClock(options["since"], options["speed"])
            work = partial(work_on, works_of(options["works"], clock), options["pause"])
            keep_forked(options["forks"], work) if options["forks"] else work()
            return
        prove, _ = PROOFS[options["subject"]]
        rng = Random(options["seed"])  # noqa: S311  # bad luck, no secret
        try:
            figures = prove(size=options["size"], rng=rng, tell=self.stderr.write)
        except ValueError as error:
            raise CommandError(str(error)) from error
        self._give(asdict(figures), options)

    def _give(self, figures: dict[str, Any], options: dict[str, Any]) -> None:
        told = json.dumps(figures, indent=2)
        if options["out"]:
            options["out"].write_text(f"{told}\n", encoding="utf-8")
        if not options["json"]:
            shown = {name: value for name, value in figures.items() if name != "complaints"}
            told = "\n".join(f"{name.replace('_', ' '):24} {it}" for name, it in shown.items())
        self.stdout.write(told)
        if figures["complaints"]:
            raise CommandError(" ".join(figures["complaints"]))
