"""Every notice arrives, however often its sender is killed and the mail server fails."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from random import Random

from django.db.models import Sum
from django.utils import timezone

from fleet.models import Owner
from schedules.models import Notice
from schedules.notices.outbox import LEASE, WAITS
from schedules.notices.sending import message_id
from schedules.proofs.mail_counting import MailCount, count_mail
from schedules.proofs.ordeals import Ordeals
from schedules.proofs.processes import HAND, ForkedCrew, forked_crew, wait_for
from schedules.proofs.rough_server import RoughServer, rough_server

Tell = Callable[[str], object]
SENDERS = 4
SPEED = 200
"""The lease of five minutes lasts 1.5 s, and the first waits 0.3, 1.5, 4.5 and 18 s."""
APART_S = WAITS[0].total_seconds() / SPEED / 2
"""Nobody tries a message again so soon after another: a wait or a lease lies between."""
TURN_S = 120
"""Between two rounds of a sender, as in the timetable."""
KILL_EVERY_S = 1.0
HANG_EVERY, HANG_LEASES = 3, 1.3
"""After so many kills another sender hangs, for so many leases, and then goes on."""
ORDEALS = {"small": (3, 8), "full": (30, 40)}
"""Of so many callers and texts one is kept waiting beyond its lease, and nobody is killed then."""
ENOUGH, MORE = 3, 20
"""Of kills and ordeals, lest chance prove nothing; until then so many notices more are owed."""
DOWN_AFTER, DOWN_S = 0.3, 2.0
"""The server is down for so long once this share has been taken."""
PATIENCE_S = {"small": 90.0, "full": 900.0}
NOTICES = {"small": 60, "full": 2_000}


@dataclass(frozen=True)
class MailFigures:
    """What a run of senders against a rough server came to."""

    notices: int
    arrived: int
    distinct: int
    duplicates: int
    explained: int
    tries: int
    kills: int
    hangs: int
    refusals_and_hang_ups: int
    hung_up_after_taking: int
    slept_through: int
    overtaken: int
    seconds: float
    complaints: tuple[str, ...]


def prove_mail(*, size: str, address: str, rng: Random, tell: Tell) -> MailFigures:
    """Owe notices in the database Django points at and have them sent by processes that die."""
    began = timezone.now()
    owed = owe_notices(NOTICES[size], began)
    tell(f"{len(owed)} notices owed; {SENDERS} senders, one of them killed every second …")
    started = time.monotonic()
    lease_s = LEASE.total_seconds() / SPEED
    ordeals = Ordeals(lease_s, *ORDEALS[size])
    with rough_server(rng, patience_s=0.8 * lease_s, ordeals=ordeals) as (server, loop):
        words = [*HAND, "send", "--pause", str(TURN_S / SPEED)]
        words += ["--speed", str(SPEED), "--since", began.isoformat(), "--forks", str(SENDERS)]
        about = {"DATABASE_URL": address, "MAIL_URL": f"smtp://127.0.0.1:{server.port}"}
        with forked_crew(words, about) as senders:
            outage = _Outage(server, loop, len(owed))
            course = _Course(senders, outage, rng, HANG_LEASES * lease_s, owed, began)
            course.run(PATIENCE_S[size])
        counted = count_mail(course.owed, server.taken, apart_s=APART_S)
        return _figures(counted, server, senders, time.monotonic() - started)


def owe_notices(count: int, now: datetime, group: str = "all") -> dict[str, str]:
    """Owe so many owners, new ones for each group, a notice; their addresses by Message-ID."""
    owners = Owner.objects.bulk_create(
        Owner(name=f"Addressee {group} {number}", email=f"{group}-{number}@kitchens.example")
        for number in range(count)
    )
    rows = Notice.objects.bulk_create(
        Notice(
            kind=Notice.Kind.OVERDUE, addressee=f"owner-{owner.pk}", period="2026-W25",
            owner=owner, address=owner.email, subject=f"Overdue: {owner.name}",
            text="Text.\n.\n", html="<p>Text.</p>", owed_at=now, send_after=now,
        )
        for owner in owners
    )  # fmt: skip
    return {message_id(row): row.address for row in rows}


@dataclass
class _Outage:
    """The server's one time down: a share into the run, for some seconds."""

    server: RoughServer
    loop: asyncio.AbstractEventLoop
    owed: int
    ends_at: float = 0.0

    def mind(self) -> None:
        """Go down or come up where it is time."""
        now = time.monotonic()
        if not self.ends_at and len(self.server.taken) >= DOWN_AFTER * self.owed:
            asyncio.run_coroutine_threadsafe(self.server.go_down(), self.loop).result()
            self.ends_at = now + DOWN_S
        elif 0 < self.ends_at < now:
            asyncio.run_coroutine_threadsafe(self.server.come_up(), self.loop).result()
            self.ends_at = float("inf")


@dataclass
class _Course:
    """Kills and hangs until all that is ``owed`` was sent, and enough has happened to it."""

    senders: ForkedCrew
    outage: _Outage
    rng: Random
    hang_s: float
    owed: dict[str, str]
    began: datetime
    next_kill: float = field(default_factory=time.monotonic)

    def run(self, patience_s: float) -> None:
        """Owe more where it went too smoothly."""
        wait_for(lambda: bool(self.outage.server.taken), patience_s)
        end = time.monotonic() + patience_s
        while time.monotonic() < end:
            time.sleep(0.1)
            if not self.outage.server.ordeals.at_work:
                self.outage.mind()
                self._kill()
            if not Notice.objects.unsent().exists():
                if self._was_enough():
                    return
                self.owed |= owe_notices(MORE, self.began, f"more-{len(self.owed)}")

    def _kill(self) -> None:
        if time.monotonic() >= self.next_kill:
            self.senders.kill_one(self.rng)
            if self.senders.kills % HANG_EVERY == 0:
                self.senders.hang_one(self.rng, self.hang_s)
            self.next_kill = time.monotonic() + KILL_EVERY_S

    def _was_enough(self) -> bool:
        server = self.outage.server
        counts = server.ordeals.slept, server.ordeals.overtaken, self.senders.kills
        return server.faults > 0 and min(counts) >= ENOUGH


def _figures(
    counted: MailCount, server: RoughServer, senders: ForkedCrew, seconds: float
) -> MailFigures:
    complaints = counted.complaints()
    unsent = Notice.objects.filter(sent_at=None).count()
    if unsent:
        complaints.append(f"{unsent} notices are not noted as sent.")
    deaths = senders.kills + senders.hangs + server.hung_up_after_taking
    if counted.duplicates > deaths:
        complaints.append(f"{counted.duplicates} duplicates, with only {deaths} to cause them.")
    if not (server.ordeals.slept and server.ordeals.overtaken):
        complaints.append("No sender slept through its lease or was overtaken: nothing is proved.")
    return MailFigures(
        notices=counted.owed,
        arrived=counted.arrived,
        distinct=counted.distinct,
        duplicates=counted.duplicates,
        explained=counted.explained,
        tries=Notice.objects.aggregate(tries=Sum("tries"))["tries"] or 0,
        kills=senders.kills,
        hangs=senders.hangs,
        refusals_and_hang_ups=server.faults,
        hung_up_after_taking=server.hung_up_after_taking,
        slept_through=server.ordeals.slept,
        overtaken=server.ordeals.overtaken,
        seconds=round(seconds, 1),
        complaints=tuple(complaints),
    )
