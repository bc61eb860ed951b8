"""PostgreSQL is stopped and crashes while all is at work: everything goes on by itself."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from random import Random
from typing import Any

from django.conf import settings
from django.db import Error, connection
from django.test import Client as InProcess
from django.utils import timezone

from fleet.models import Person
from fleet.services.keys import give_key
from schedules.bench.filling import fill_sample
from schedules.bench.posting import Payloads
from schedules.bench.scratch import scratch_database
from schedules.bench.serving import PRODUCT, served
from schedules.models import Notice
from schedules.proofs.cluster import Cluster, own_cluster
from schedules.proofs.comparing import compare_with_record
from schedules.proofs.mail import owe_notices
from schedules.proofs.mail_counting import count_mail
from schedules.proofs.phones import Answers, Looker, Phone
from schedules.proofs.processes import HAND, crew, wait_for
from schedules.proofs.rough_server import RoughServer, rough_server
from visits.models import Check, Visit

Tell = Callable[[str], object]
SIZES = {"small": (60, 80, 60), "full": (2_000, 1_000, 1_500)}
"""Fans, notices, visits."""
SENDERS, PHONES, SPEED = 2, 2, 100
STOPS = ("fast", "immediate")
DOWN_S = 1.5
PATIENCE_S = {"small": 90.0, "full": 900.0}
LOOKED_AT = ("/", "/api/v1/due")


@dataclass(frozen=True)
class RestartFigures:
    """What reckoning, sending, posting and looking came to while the database went down.

    ``answers`` counts statuses over all requests, ``cut_off`` connections that broke; ``explained``
    are duplicates whose first copy could not be noted.
    """

    fans: int
    stops: int
    visits: int
    notices: int
    duplicates: int
    explained: int
    answers: dict[str, int]
    cut_off: int
    lost: int
    seconds: float
    complaints: tuple[str, ...]


def prove_restart(*, size: str, rng: Random, tell: Tell) -> RestartFigures:
    """Fill a server of its own, put all to work, and stop it twice."""
    with own_cluster() as cluster, scratch_database() as address:
        return _Scene(size, cluster, address, rng, tell).play()


@dataclass
class _Scene:
    size: str
    cluster: Cluster
    address: str
    rng: Random
    tell: Tell

    def play(self) -> RestartFigures:
        fans, notices, posts = SIZES[self.size]
        self.tell(f"Inventing {fans} fans with all their records …")
        fan_ids = fill_sample(fans)
        now = timezone.now()
        owed, before = owe_notices(notices, now), Visit.objects.count()
        phones = self._visits(fan_ids, posts, now)
        answers, stopped, started = Answers(), threading.Event(), time.monotonic()
        self.tell("All at work; the database is stopped, and later crashes …")
        with self._workers(now) as (server, port, crews):
            callers = self._callers(port, phones, answers, stopped)
            outages = self._stop_and_start(server, answers, notices, posts)
            done = wait_for(lambda: self._is_done(answers, posts), PATIENCE_S[self.size])
            stopped.set()
            for each in callers:
                each.join()
            died = sum(each.died() for each in crews)
            mail = count_mail(owed, server.taken, outages)
        compared = compare_with_record(fan_ids, now)
        complaints = [
            *mail.complaints(), *answers.complaints(), *compared.complaints(),
            *_half_written(answers, before),
        ]  # fmt: skip
        if not done:
            complaints.append(f"Not all was sent and posted within {PATIENCE_S[self.size]:.0f} s.")
        if died:
            complaints.append(f"{died} processes ended instead of going on.")
        if not answers.statuses[503]:
            complaints.append("Nobody asked while the database was down: nothing is proved.")
        return RestartFigures(
            fans=fans, stops=len(outages), visits=len(answers.taken), notices=mail.distinct,
            duplicates=mail.duplicates, explained=mail.explained,
            answers={str(s): n for s, n in sorted(answers.statuses.items())},
            cut_off=answers.cut_off, lost=compared.lost,
            seconds=round(time.monotonic() - started, 1), complaints=tuple(complaints),
        )  # fmt: skip

    def _visits(self, fan_ids: list[int], posts: int, now: datetime) -> list[list[dict[str, Any]]]:
        told = Payloads(fan_ids, now)
        visits = [told.visit() for _ in range(posts)]
        return [visits[number::PHONES] for number in range(PHONES)]

    @contextmanager
    def _workers(self, now: datetime) -> Iterator[tuple[RoughServer, int, Sequence[Any]]]:
        send = [*HAND, "send", "--speed", str(SPEED), "--since", now.isoformat()]
        with rough_server(self.rng, whims={}) as (server, _), served(self.address, PRODUCT) as port:
            about = {"DATABASE_URL": self.address, "MAIL_URL": f"smtp://127.0.0.1:{server.port}"}
            with (
                crew(send, SENDERS, about) as senders,
                crew([*HAND, "reckon"], 1, about) as reckoner,
            ):
                yield server, port, (senders, reckoner)

    def _callers(
        self, port: int, phones: list[list[dict[str, Any]]], answers: Answers,
        stopped: threading.Event,
    ) -> list[threading.Thread]:  # fmt: skip
        person = Person.objects.create_user("prover", role=Person.Role.MANAGER)
        _, key = give_key(person=person, name="prover")
        browser = InProcess()
        browser.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
        cookie = f"{settings.SESSION_COOKIE_NAME}={browser.session.session_key}"
        sent = {"Authorization": f"Token {key}", "Content-Type": "application/json"}
        callers: list[threading.Thread] = [
            Phone(port, sent, answers, stopped, visits) for visits in phones
        ]
        callers.append(Looker(port, {"Cookie": cookie}, answers, stopped, LOOKED_AT))
        for each in callers:
            each.start()
        return callers

    def _stop_and_start(
        self, server: RoughServer, answers: Answers, notices: int, posts: int
    ) -> list[tuple[float, float]]:
        """When the server was down: once a share of mail and visits is through, for each stop."""
        outages = []
        for number, how in enumerate(STOPS, 1):
            share = number / (len(STOPS) + 1)
            mail, visits = share * notices, share * posts
            wait_for(partial(_have_come, server, mail, answers, visits), PATIENCE_S[self.size])
            began = time.monotonic()
            self.cluster.stop(how)
            time.sleep(DOWN_S)
            self.cluster.start()
            outages.append((began, time.monotonic()))
        return outages

    def _is_done(self, answers: Answers, posts: int) -> bool:
        try:
            connection.close_if_unusable_or_obsolete()
            open_notices = Notice.objects.filter(sent_at=None).exists()
        except Error:
            return False
        return len(answers.taken) == posts and not open_notices


def _have_come(server: RoughServer, mail: float, answers: Answers, visits: float) -> bool:
    return len(server.taken) >= mail and len(answers.taken) >= visits


def _half_written(answers: Answers, before: int) -> list[str]:
    """Visits taken that are not on record once, with their one check."""
    stored = Visit.objects.count() - before
    checks = Check.objects.filter(visit__in=list(answers.taken)).count()
    if stored == checks == len(answers.taken):
        return []
    return [f"{len(answers.taken)} visits were taken, {stored} stored, with {checks} checks."]
