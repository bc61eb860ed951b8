"""Every notice arrives, however often its sender is killed and the mail server fails."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from random import Random

from django.db.models import Sum
from django.utils import timezone

from fleet.models import Owner
from schedules.models import Notice
from schedules.notices.outbox import LEASE
from schedules.notices.sending import message_id
from schedules.proofs.mail_counting import MailCount, count_mail
from schedules.proofs.processes import Crew, crew, wait_for
from schedules.proofs.rough_server import RoughServer, rough_server

Tell = Callable[[str], object]
SENDERS = 4
SPEED = {"small": 200, "full": 100}
"""At 100 the lease of five minutes lasts 3 s, and the first waits 0.6, 3, 9 and 36 s."""
TURN_S = 120
"""Between two rounds of a sender, as in the timetable."""
KILL_EVERY_S, MOST_KILLS = 1.0, {"small": 9, "full": 10_000}
HANG_EVERY, HANG_LEASES = 3, 1.3
"""After so many kills another sender hangs, for so many leases, and then goes on."""
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
    seconds: float
    complaints: tuple[str, ...]


def prove_mail(*, size: str, address: str, rng: Random, tell: Tell) -> MailFigures:
    """Owe notices in the database Django points at and have them sent by processes that die."""
    began = timezone.now()
    owed = owe_notices(NOTICES[size], began)
    tell(f"{len(owed)} notices owed; {SENDERS} senders, one of them killed every second …")
    started = time.monotonic()
    speed = SPEED[size]
    lease_s = LEASE.total_seconds() / speed
    with rough_server(rng, patience_s=0.8 * lease_s) as (server, loop):
        words = ["manage.py", "prove", "hand", "send", "--pause", str(TURN_S / speed)]
        words += ["--speed", str(speed), "--since", began.isoformat()]
        about = {"DATABASE_URL": address, "MAIL_URL": f"smtp://127.0.0.1:{server.port}"}
        with crew(words, SENDERS, about) as senders:
            outage = _Outage(server, loop, len(owed))
            _kill_until_sent(senders, outage, rng, HANG_LEASES * lease_s, size)
        counted = count_mail(owed, server.taken)
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


def _kill_until_sent(senders: Crew, outage: _Outage, rng: Random, hang_s: float, size: str) -> None:
    begun = time.monotonic()
    wait_for(lambda: bool(outage.server.taken), PATIENCE_S[size])
    # Who is younger than this has not begun: killing beginners only heats the machine.
    now = time.monotonic()
    young_s, end, next_kill = now - begun, begun + PATIENCE_S[size], now
    while now < end and Notice.objects.filter(sent_at=None, given_up_at=None).exists():
        now = time.monotonic()
        if senders.kills < MOST_KILLS[size] and now >= next_kill:
            if senders.kill_one(rng, young_s) and senders.kills % HANG_EVERY == 0:
                senders.hang_one(rng, hang_s)
            next_kill = now + KILL_EVERY_S
        outage.mind()
        time.sleep(0.1)


def _figures(counted: MailCount, server: RoughServer, senders: Crew, seconds: float) -> MailFigures:
    complaints = counted.complaints()
    unsent = Notice.objects.filter(sent_at=None).count()
    if unsent:
        complaints.append(f"{unsent} notices are not noted as sent.")
    deaths = senders.kills + senders.hangs + server.hung_up_after_taking
    if counted.duplicates > deaths:
        complaints.append(f"{counted.duplicates} duplicates, with only {deaths} to cause them.")
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
        seconds=round(seconds, 1),
        complaints=tuple(complaints),
    )
