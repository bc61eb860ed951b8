"""What keeps failing through the API: listed, read whole, closed."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.exceptions import NotFound
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.access import PLANNERS, ByRole
from config.api.filters import by_choice, by_id, by_instant
from config.api.problems import InvalidError, ProblemError, body_fault
from fleet.models import Fan, Owner, Site
from fleet.services.errors import RegisterError
from schedules.api import examples
from schedules.api.answers import Told
from schedules.api.pattern_shapes import STATES, PatternClosingSent, PatternTold, PatternWhole
from schedules.models import Pattern, PatternClosing
from schedules.patterns.closing import NotAsSeenError, Words, close_pattern
from schedules.patterns.evidence import Evidence, Failure, Look, read_evidence
from schedules.patterns.machines import MachineCounts, machine_counts
from schedules.wording.patterns import pattern_text
from visits.api.examples import sent, told
from visits.api.whole import name_of
from visits.wording import ITEMS
from visits.wording.names import upper_first


class PatternListView(GenericAPIView[Pattern]):
    """Patterns listed."""

    serializer_class = PatternTold
    keyset = ("-last_on", "pk")
    filters = {
        "owner": by_id("fan__site__owner", "Patterns of one owner.", Owner.objects.visible_to),
        "site": by_id("fan__site", "Patterns at one site.", Site.objects.visible_to),
        "fan": by_id("fan", "Patterns of one fan.", Fan.objects.visible_to),
        "item": by_choice("item", tuple(ITEMS), "Patterns of one kind of item."),
        "state": by_choice("state", tuple(STATES), "Patterns that stand so."),
        "changed_since": by_instant("changed_at__gte", "Raised, changed or closed since then."),
    }

    def get_queryset(self) -> QuerySet[Pattern]:
        return Pattern.objects.visible_to(self.request.user).select_related("fan__site")

    @extend_schema(responses=PatternTold(many=True), examples=[told("A switch", examples.PATTERN)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """What keeps failing, the newest failure first; owners are told of their own sites.

        A pattern says that failures are more than chance would leave, not why.
        """
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        for_us = getattr(request.user, "works_here", False)
        return self.get_paginated_response([tell_pattern(row, for_us=for_us) for row in page or ()])


class PatternView(GenericAPIView[Pattern]):
    """One pattern."""

    serializer_class = PatternWhole
    pagination_class = None

    def get_queryset(self) -> QuerySet[Pattern]:
        return Pattern.objects.with_closings().visible_to(self.request.user)

    @extend_schema(
        responses=PatternWhole, examples=[told("With its evidence", examples.PATTERN_WHOLE)]
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """A pattern with each failure and what stood around it: none of that is its cause."""
        return Response(_whole(self.get_object(), request.user))


class PatternClosingView(GenericAPIView[Pattern]):
    """Patterns closed."""

    permission_classes = [ByRole]
    changed_by = PLANNERS
    serializer_class = PatternWhole
    pagination_class = None
    refusals = {"POST": (409,)}

    def get_queryset(self) -> QuerySet[Pattern]:
        return Pattern.objects.with_closings().visible_to(self.request.user)

    @extend_schema(
        request=PatternClosingSent,
        responses=PatternWhole,
        examples=[
            sent("Cause found", examples.PATTERN_CLOSED),
            told("Closed", {**examples.PATTERN_WHOLE, "state": "closed"}),
        ],
    )
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Close a pattern with the cause that was found or a reason, until that item fails anew.

        409 where it was closed meanwhile, or more failures came to it than you saw.
        """
        row = self.get_queryset().filter(pk=kwargs["pk"]).first()
        if row is None:
            raise NotFound
        body = PatternClosingSent(data=request.data)
        body.is_valid(raise_exception=True)
        by: Any = request.user
        words = Words(**body.validated_data)
        try:
            close_pattern(pattern_id=row.pk, words=words, by=by, now=timezone.now())
        except NotAsSeenError as error:
            raise ProblemError(
                status.HTTP_409_CONFLICT, "not_as_seen", f"{upper_first(str(error))}."
            ) from error
        except RegisterError as error:
            raise InvalidError(
                [body_fault(f"#/{field}", text) for field, text in error.faults.items()]
            ) from error
        return Response(_whole(self.get_object(), by))


def tell_pattern(row: Pattern, *, for_us: bool) -> Told:
    """A pattern as a list tells it; what others' fans did is not told to an owner."""
    return {
        "id": row.pk,
        "fan": {"id": row.fan_id, "tag": row.fan.tag},
        "site": {"id": row.fan.site_id, "name": row.fan.site.name},
        "item": row.item,
        "state": row.state,
        "failures": row.failures,
        "first_on": row.first_on,
        "last_on": row.last_on,
        "closest_days": row.closest_days,
        "again_soon": row.again_soon,
        "by_rate": row.by_rate,
        "figures": row.figures if for_us else None,
        "as_of": row.as_of,
        "raised_at": row.raised_at,
        "sentence": pattern_text(row),
    }


def _whole(row: Pattern, reader: Any) -> Told:
    evidence: Evidence = read_evidence(row)
    return {
        **tell_pattern(row, for_us=reader.works_here),
        "evidence": [_tell_failure(each) for each in evidence.failures],
        "machines": _tell_machines(
            machine_counts(row, evidence.failures), for_us=reader.works_here
        ),
        "call_backs": [{"on": each.on, "visit": each.visit} for each in evidence.call_backs],
        "common": list(evidence.common),
        "closings": [
            tell_closing(each, for_us=reader.works_here) for each in row.closings.all()
        ],
    }  # fmt: skip


def _tell_machines(counts: MachineCounts, *, for_us: bool) -> Told:
    is_told = for_us and counts.elsewhere is not None
    return {
        "stood": counts.stood,
        "told": counts.told,
        "item_stays": counts.item_stays,
        "failures": [
            {"machine": machine, "failures": count}
            for machine, count in sorted(counts.failures.items())
        ],
        "elsewhere": counts.elsewhere if is_told else None,
        "elsewhere_years": counts.elsewhere_years if is_told else None,
    }  # fmt: skip


def tell_closing(closing: PatternClosing, *, for_us: bool) -> Told:
    """What it was closed with; a cause taken back, and reasons, to the company's people alone."""
    by = closing.closed_by
    return {
        "closed_at": closing.closed_at,
        "closed_by": {"id": by.pk, "name": name_of(by)} if by and for_us else None,
        "visit": closing.visit_id,
        "cause": closing.cause if for_us or not closing.is_taken_back else "",
        "reason": closing.reason if for_us else "",
        "failures": closing.failures,
    }


def _tell_failure(each: Failure) -> Told:
    advised = each.advised
    advice = advised.advice if advised else None
    answer = advised.answer if advised else None
    return {
        "failed_on": each.failed_on,
        "ran_on": each.ran_on,
        "found_on": each.found_on,
        "visit": each.visit,
        "machine": each.machine.pk if each.machine else None,
        "in_warranty": each.in_warranty,
        "cause": each.cause,
        "failure_mode": each.mode,
        "mechanism": each.mechanism,
        "replaced_without_cause": each.without_cause,
        "looked_before": _tell_look(each.looked_before),
        "looked_after": _tell_look(each.looked_after),
        "events": [
            {
                "id": event.pk, "kind": event.kind, "ended_on": event.ended_on,
                "tipped": event.pk in each.tipped_at,
            }
            for event in each.events
        ],
        "advice": {
            "id": advice.pk, "on": advice.visit.local_on, "answer": answer.answer if answer else "",
        } if advice else None,
    }  # fmt: skip


def _tell_look(look: Look | None) -> Told | None:
    if look is None:
        return None
    return {"on": look.on, "visit": look.visit, "verdicts": dict(look.verdicts)}
