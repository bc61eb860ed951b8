"""What letters are about, for a sample with records: slips, advice, people, bookings, letters."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from django.db.models import CharField, F, Value
from django.db.models.functions import Cast, Concat

from fleet.models import Owner, Person, Site
from schedules.bench.fleet import random_for, store
from schedules.models import Booking, Notice
from schedules.weeks import iso_week
from visits.models import Check, Decision, MadeSafe, Recommendation

WEEKS_TOLD = 52
ROLES = {"dispatcher": 10, "manager": 5, "technician": 100}
SLIP_CHANCE, STILL_OUT_CHANCE = 0.02, 0.005
"""That a look ends with the fan made safe, and that the last one does."""
ADVISED_CHANCE, ANSWERED_CHANCE = 0.6, 0.4
TEXT = "What was written then. " * 80


def advise(fan_ids: Sequence[int]) -> None:
    """Put advice, answers and slips of fans made safe on file for looks there are."""
    looks = Check.objects.filter(fan__in=fan_ids).order_by("fan", "began_at")
    told = list(looks.values_list("fan", "visit", "began_at", "judged"))
    lasts = {fan: visit for fan, visit, *_ in told}
    slips, advice, answers = [], [], []
    for fan, visit, at, judged in told:
        rng = random_for("advice", fan, at)
        if rng.random() < (STILL_OUT_CHANCE if lasts[fan] == visit else SLIP_CHANCE):
            slips.append(MadeSafe(visit_id=visit, fan_id=fan, told="the chef on duty"))
        for subject in [name for name, verdict in judged.items() if verdict in ("act", "stop")]:
            if rng.random() > ADVISED_CHANCE:
                continue
            row = Recommendation(visit_id=visit, fan_id=fan, subject=subject, text="Have it done.")
            advice.append(row)
            if rng.random() < ANSWERED_CHANCE:
                answers.append(
                    Decision(
                        fan_id=fan, recommendation=row, subject=subject, decided_on=at.date(),
                        answer=rng.choice(("go_ahead", "declined", "question")), received_at=at,
                    )
                )  # fmt: skip
    for rows in (slips, advice, answers):
        store(rows)


def staff_and_letters(now: datetime) -> None:
    """Give owners addresses, people to write to, bookings for the days to come, a year of letters.

    Two owners in five have had an overdue letter every week, each technician one of every day.
    """
    number = Cast("pk", CharField())
    Owner.objects.update(email=Concat(Value("owner"), number, Value("@kitchens.example")))
    people = store(
        Person(username=f"{role}{at}", role=role, email=f"{role}{at}@fans.example")
        for role, count in ROLES.items()
        for at in range(count)
    )
    technicians = [each for each in people if each.role == Person.Role.TECHNICIAN]
    store(_bookings(technicians, people[0], now))
    store(_weekly_letters(now))
    store(_daily_letters(technicians, now))


def _bookings(technicians: Sequence[Person], by: Person, now: datetime) -> Iterator[Booking]:
    sites = list(Site.objects.order_by("pk").values_list("pk", flat=True))
    for at, technician in enumerate(technicians):
        for day in range(5):
            for stop in range(4):
                yield Booking(
                    site_id=sites[(at * 20 + day * 4 + stop) % len(sites)], technician=technician,
                    day=now.date() + timedelta(days=day), booked_at=now, booked_by=by,
                    changed_at=now, changed_by=by,
                )  # fmt: skip


def _weekly_letters(now: datetime) -> Iterator[Notice]:
    for owner in Owner.objects.filter(pk__in=_two_in_five()):
        for back in range(1, WEEKS_TOLD + 1):
            at = now - timedelta(weeks=back)
            yield _sent("overdue", f"owner-{owner.pk}", iso_week(at), at, owner=owner)


def _two_in_five() -> Sequence[int]:
    keys = Owner.objects.annotate(rest=F("pk") % 5).filter(rest__lt=2)
    return list(keys.values_list("pk", flat=True))


def _daily_letters(technicians: Sequence[Person], now: datetime) -> Iterator[Notice]:
    for person in technicians:
        for back in range(2, 7 * WEEKS_TOLD):
            at = now - timedelta(days=back)
            if at.isoweekday() <= 5:
                yield _sent("day", f"person-{person.pk}", at.date().isoformat(), at, person=person)


def _sent(kind: str, addressee: str, period: str, at: datetime, **reader: object) -> Notice:
    return Notice(
        kind=kind, addressee=addressee, period=period, address=f"{addressee}@kitchens.example",
        subject="As it was then", text=TEXT, html=TEXT, owed_at=at, send_after=at, sent_at=at,
        **reader,
    )  # fmt: skip
