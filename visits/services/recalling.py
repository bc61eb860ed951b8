"""What a record that is sent again is answered with: what its first sender was told, as of now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from django.db.models import F, QuerySet

from config.questions import Part, Question, Row
from fleet.failure_terms import LISTED
from fleet.models import Fan, Feed, Machine, Person
from visits.judging import (
    FEED_COLUMNS,
    NO_PLATE,
    PLATE_COLUMNS,
    feed_in_force,
    judge_stored,
    plate_of,
)
from visits.models import (
    Action,
    Check,
    Closing,
    Decision,
    Event,
    Finding,
    MadeSafe,
    NotReached,
    PlateReading,
    Recommendation,
    SystemInspection,
    Visit,
)
from visits.services.beltless import Sent, beltless_parts, stood_on_record
from visits.services.cautions import cautions_of
from visits.services.record import Recorded, RecordedVisit
from visits.services.rows import NewCheck, Rows

OF_FANS = (
    Check, Finding, Action, Recommendation, Decision, NotReached, MadeSafe, PlateReading,
)  # fmt: skip
CHECK_COLUMNS = tuple(field.attname for field in Check._meta.concrete_fields)
WHO = ("id", "qualified_code_inspection", "qualified_energised_work")


def _fans_of(model: Any) -> Part:
    return lambda given: (
        model.objects.order_by().filter(visit__among=given["visits"]).values("fan_id")
    )


def _seen(column: str) -> Callable[[Mapping[str, Any]], QuerySet[Any, Any]]:
    """What the visit's checks name by that column."""
    return lambda given: (
        Check.objects.order_by().filter(visit__among=given["visits"]).values(column)
    )


def _named(model: Any, *columns: str) -> Part:
    """What the visit's rows of a kind say by these columns, and of which fan."""
    return lambda given: (
        model.objects.order_by().filter(visit__among=given["visits"]).values("fan_id", *columns)
    )


def _visits(given: Mapping[str, Any]) -> QuerySet[Visit]:
    return Visit.objects.order_by().filter(pk__among=given["visits"])


FANS: dict[str, Part] = {
    **{model.__name__.lower(): _fans_of(model) for model in OF_FANS},
    "inspected": lambda given: (
        Fan.objects.order_by()
        .filter(system__inspections__visit__among=given["visits"])
        .values(fan_id=F("id"))
    ),
}
"""The fans of which a visit tells anything, or whose system it inspected."""

TOLD_OF = Question(["visits"], **FANS)
RECALL = Question(
    ["visits"],
    **FANS,
    # A correction may have touched every fan of its site.
    corrected=lambda given: Fan.objects.filter(
        site__in=_visits(given).filter(supersedes__isnull=False).values("site")
    ).values("id"),
    checks=lambda given: (
        Check.objects.filter(visit__among=given["visits"]).order_by("id").values(*CHECK_COLUMNS)
    ),
    machines=lambda given: Machine.objects.filter(pk__in=_seen("machine")(given)).values(
        "id", *PLATE_COLUMNS
    ),
    feeds=lambda given: Feed.objects.filter(fan__in=_seen("fan")(given)).values(
        "id", "fan_id", "valid_from", *FEED_COLUMNS
    ),
    technicians=lambda given: Person.objects.filter(
        pk__in=_visits(given).values("technician")
    ).values(*WHO),
    terms=_named(Finding, *LISTED, "failed_on", "item", "subject"),
    work=_named(Action, "item"),
    advice=_named(Recommendation, "subject"),
    missed=_named(NotReached, "item"),
    inspections=lambda given: (
        SystemInspection.objects.order_by().filter(visit__among=given["visits"]).values("qualified")
    ),
    superseding=lambda given: (
        Visit.objects.order_by().filter(supersedes__among=given["visits"]).values("id")
    ),
)
"""All that a visit already stored is answered from."""


def recall_visit(visit: Visit) -> RecordedVisit:
    """A stored visit with its checks judged and the fans it touches, in one statement."""
    found = RECALL.ask(visits=[visit.pk])
    for row in found["technicians"]:
        visit.technician = Person.from_db(None, WHO, [row[name] for name in WHO])
    checks = tuple(_checks(visit, found))
    inspections = [SystemInspection(qualified=row["qualified"]) for row in found["inspections"]]
    findings, beltless = _rows_of(visit, Finding, found["terms"]), _beltless(visit, checks, found)
    fans = _fans_in(found) | {row["id"] for row in found["corrected"]}
    return RecordedVisit(
        visit=visit,
        created=False,
        fan_ids=tuple(sorted(fans)),
        checks=checks,
        cautions=cautions_of(
            visit, checks, inspections, fans, findings=findings, beltless=beltless
        ),
        superseded=bool(found["superseding"]),
    )


def fans_told_of(visit: Visit) -> tuple[int, ...]:
    """The fans of which a visit tells anything, or whose system it inspected."""
    return tuple(sorted(_fans_in(TOLD_OF.ask(visits=[visit.pk]))))


def _rows_of(visit: Visit, model: Any, rows: Sequence[Row]) -> list[Any]:
    return [model(visit=visit, **row) for row in rows]


def _beltless(visit: Visit, checks: Sequence[NewCheck], found: Mapping[str, Sequence[Row]]) -> Sent:
    """By the register as it reads now; one more statement where it tells of a belt."""
    for check in checks:
        check.row.visit = visit
    rows = Rows(
        checks=list(checks),
        findings=_rows_of(visit, Finding, found["terms"]),
        actions=_rows_of(visit, Action, found["work"]),
        recommendations=_rows_of(visit, Recommendation, found["advice"]),
        not_reached=_rows_of(visit, NotReached, found["missed"]),
    )
    return beltless_parts(rows, stood_on_record).get(visit.pk, ())


def _fans_in(found: Mapping[str, Sequence[Row]]) -> set[int]:
    return {row["fan_id"] for name in FANS for row in found[name]}


def _checks(visit: Visit, found: Mapping[str, Sequence[Row]]) -> list[NewCheck]:
    """Each check with what it is judged by: the plate as it reads today, the feed of its day."""
    plates = {row["id"]: plate_of(row) for row in found["machines"]}
    checks = []
    for row in found["checks"]:
        plate = plates.get(row["machine_id"], NO_PLATE)
        feeds = [feed for feed in found["feeds"] if feed["fan_id"] == row["fan_id"]]
        feed = feed_in_force(feeds, visit.local_on)
        check = Check.from_db(None, CHECK_COLUMNS, [row[name] for name in CHECK_COLUMNS])
        checks.append(NewCheck(check, plate, feed, judge_stored(row, plate, feed)))
    return checks


def recall(row: Event | Decision | Closing) -> Recorded:
    """A stored event, answer or closing and the fans it touches."""
    match row:
        case Event():
            fan_ids = _fans_of_event(row)
        case Closing():
            fan_ids = (row.finding.fan_id,)
        case Decision():
            fan_ids = (row.fan_id,)
    return Recorded(row, False, fan_ids)


def _fans_of_event(event: Event) -> tuple[int, ...]:
    if event.supersedes_id or (event.fan_id is None and event.system_id is None):
        return _fans(site=event.site_id)
    narrow = _fans(system=event.system_id) if event.fan_id is None else (event.fan_id,)
    return tuple(sorted({*narrow, *event.tipped_fans.values_list("pk", flat=True)}))


def _fans(**condition: Any) -> tuple[int, ...]:
    rows = Fan.objects.filter(**condition).order_by("pk")
    return tuple(rows.values_list("pk", flat=True))
