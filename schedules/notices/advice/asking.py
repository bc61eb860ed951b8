"""Advice that an owner has not answered yet, as far as the record shows it still stands."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, OuterRef, QuerySet

from fleet.quantities import item_of
from schedules.due.bought import agreements_of, is_left_to_us, spending_limit
from schedules.due.local_days import LocalDays
from schedules.engine.findings import SETTLING, worked_on
from schedules.notices.clocks import Clocks
from visits.models import Action, Check, Closing, Decision, Recommendation
from visits.models.visits import superseded

Answer = Decision.Answer
FOR_GOOD = (Answer.GO_AHEAD, Answer.DECLINED)
ANSWERS = (*FOR_GOOD, Answer.NOT_NOW)
"""A question back is no answer."""


@dataclass(frozen=True)
class Asked:
    """Advice that waits, and the day since when: the visit's, or the one it was put off to."""

    row: Recommendation
    since: date
    put_off: bool


def unanswered_advice(rows: QuerySet[Recommendation], days: LocalDays) -> Mapping[int, list[Asked]]:
    """Of these rows by owner, oldest first, what waits for a yes or no; six queries in all.

    "Not now until" is an answer until its day; an answer on the same subject of the fan, given
    without naming the advice, answers what was advised by then.  What an agreement lets us spend
    without asking waits for nobody, unless its owner put it off.
    """
    settled = Decision.objects.filter(~superseded("visit"), answer__in=FOR_GOOD)
    told = standing_advice(rows.filter(~Exists(settled.filter(recommendation=OuterRef("pk")))))
    answers = _answers({row.fan_id for row in told})
    agreements = agreements_of({row.fan.site.owner_id for row in told})
    found: dict[int, list[Asked]] = defaultdict(list)
    for row in told:
        owner_id, today = row.fan.site.owner_id, days.of(row.fan.site.time_zone)
        asked = _asked(row, answers.get(row.fan_id, ()), today)
        limit = spending_limit(agreements.get(owner_id, ()), today)
        if asked is not None and (asked.put_off or not is_left_to_us(row.cost, limit)):
            found[owner_id].append(asked)
    return found


def standing_advice(rows: QuerySet[Recommendation]) -> list[Recommendation]:
    """Those of these rows, oldest first, that nothing seen, done or closed since has overtaken."""
    standing = rows.filter(~superseded("visit")).select_related("visit", "fan__site__owner")
    told = list(standing.order_by("visit__began_at", "pk"))
    overtaken = _overtaken(told)
    return [row for row in told if not _is_overtaken(row, overtaken)]


def _is_overtaken(row: Recommendation, overtaken: Mapping[tuple[int, str], datetime]) -> bool:
    later = max((overtaken.get((row.fan_id, name)) for name in _names(row)), key=_or_first)
    return later is not None and later > row.visit.began_at


def advice_to_mail(rows: QuerySet[Recommendation], clocks: Clocks) -> Mapping[int, list[Asked]]:
    """The same without fans still onboarding, of which nobody is mailed."""
    found = unanswered_advice(rows, clocks.days)
    fans = {asked.row.fan_id for rows in found.values() for asked in rows}
    waiting = set(clocks.onboarding().filter(pk__in=fans).values_list("pk", flat=True))
    told = {
        owner_id: [asked for asked in rows if asked.row.fan_id not in waiting]
        for owner_id, rows in found.items()
    }
    return {owner_id: rows for owner_id, rows in told.items() if rows}


def _asked(row: Recommendation, answers: Sequence[Decision], today: date) -> Asked | None:
    """What the last answer to it left open; None where it is answered."""
    given = [answer for answer in answers if _answers_to(row, answer)]
    if not given:
        return Asked(row, row.visit.local_on, put_off=False)
    until = given[-1].not_before if given[-1].answer == Answer.NOT_NOW else None
    return Asked(row, until, put_off=True) if until and until <= today else None


def _answers_to(row: Recommendation, answer: Decision) -> bool:
    if answer.recommendation_id is not None:
        return answer.recommendation_id == row.pk
    return answer.subject in _names(row) and answer.decided_on >= row.visit.local_on


def _names(row: Recommendation) -> set[str]:
    return {row.subject, item_of(row.subject)}


def _answers(fan_ids: set[int]) -> Mapping[int, list[Decision]]:
    """Answers by fan, in the order they were given."""
    found: dict[int, list[Decision]] = defaultdict(list)
    rows = Decision.objects.filter(~superseded("visit"), fan__in=fan_ids, answer__in=ANSWERS)
    for row in rows.order_by("decided_on", "received_at", "pk"):
        found[row.fan_id].append(row)
    return found


def _or_first(at: datetime | None) -> float:
    return at.timestamp() if at else 0.0


def _overtaken(rows: Sequence[Recommendation]) -> Mapping[tuple[int, str], datetime]:
    """By fan and subject or item, when it was last repaired, found within or closed.

    Only what came after one of these rows is read: a fan's past grows, and says nothing of them.
    """
    last: dict[tuple[int, str], datetime] = {}
    after: dict[str, Any] = {"fan__recommendations__in": [row.pk for row in rows]}
    advised_at = F("fan__recommendations__visit__began_at")
    done = Action.objects.filter(
        ~superseded("visit"), **after, kind__in=SETTLING, visit__began_at__gt=advised_at
    )
    for fan_id, kind, item, at in done.order_by("visit__began_at").values_list(
        "fan", "kind", "item", "visit__began_at"
    ):
        last.update({(fan_id, each): at for each in worked_on(kind, item)})
    seen = Check.objects.filter(~superseded("visit"), **after, began_at__gt=advised_at)
    for fan_id, judged, at in seen.order_by("began_at").values_list("fan", "judged", "began_at"):
        for subject, verdict in judged.items():
            if verdict == "within":
                last[fan_id, subject] = max(at, last.get((fan_id, subject), at))
    for fan_id, subject, at in _closed(after):
        last[fan_id, subject] = max(at, last.get((fan_id, subject), at))
    return last


def _closed(after: Mapping[str, Any]) -> Iterator[tuple[int, str, datetime]]:
    """Faults closed with a reason, each at the end of that day, as its finding's dates end."""
    rows = Closing.objects.filter(
        ~superseded("finding__visit"),
        **{f"finding__{name}": value for name, value in after.items()},
        closed_on__gte=F("finding__fan__recommendations__visit__local_on"),
    )
    columns = ("fan", "subject", "item", "fan__site__time_zone")
    told = rows.values_list("closed_on", *(f"finding__{name}" for name in columns))
    for on, fan_id, subject, item, zone in told:
        yield fan_id, subject or item, datetime.combine(on, time.max, ZoneInfo(zone))
