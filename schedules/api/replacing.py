"""Keep or replace one fan, and the sheet for whoever supplies another, as the API tells them."""

from __future__ import annotations

from math import isfinite
from typing import Any

from django.conf import settings
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from config.api.filters import NoParametersMixin
from fleet.models import Fan
from schedules.engine.keeping import Cost
from schedules.fan_page.gathering import FanFile, read_fan_file
from schedules.fan_page.keeping import keeping_of
from schedules.fan_page.replacement import STANDINGS, replacement_sheet
from schedules.wording.keeping import keeping_reckoned, keeping_text
from visits.api.examples import told
from visits.api.shapes import FanNamed
from visits.api.told import Told

LEANINGS = ["replace", "keep", "unsure", "no_failures", "no_age", "unknown"]


class YearlyCost(serializers.Serializer[Any]):
    """Money a year, with the limits of 95 % that the failures on record leave."""

    expected = serializers.FloatField(help_text=f"[{settings.CURRENCY}/year]")
    lower = serializers.FloatField()
    upper = serializers.FloatField()


class KeepingTold(serializers.Serializer[Any]):
    """Which way it leans, what both ways cost, and how that was reckoned.

    `unknown` where no machine is in place or nothing is reckoned yet; costs are null where they
    cannot be told, `best_age_years` where such machines are best kept to their end.
    """

    fan = FanNamed()
    leaning = serializers.ChoiceField(choices=LEANINGS)
    sentence = serializers.CharField(allow_blank=True)
    reckoned = serializers.CharField(allow_blank=True)
    keep = YearlyCost(allow_null=True)
    replace = YearlyCost(allow_null=True)
    failures = serializers.IntegerField(allow_null=True)
    watched_years = serializers.FloatField(allow_null=True)
    age_years = serializers.FloatField(allow_null=True)
    at_most_a_year = serializers.FloatField(
        allow_null=True, help_text="failures a year, one-sided 95 %"
    )
    best_age_years = serializers.FloatField(allow_null=True)


class SheetLine(serializers.Serializer[Any]):
    """One thing a supplier asks; of a gap `text` is empty and `find` says how to find it out."""

    code = serializers.CharField()
    term = serializers.CharField()
    text = serializers.CharField(allow_blank=True)
    standing = serializers.ChoiceField(choices=list(STANDINGS))
    note = serializers.CharField(allow_blank=True)
    find = serializers.CharField(allow_blank=True)


class ReplacementTold(serializers.Serializer[Any]):
    """All that whoever supplies another fan asks for; `find_out` are the codes of gaps."""

    fan = FanNamed()
    as_of = serializers.DateField()
    lines = SheetLine(many=True)
    find_out = serializers.ListField(child=serializers.CharField())


KEEPING = {
    "fan": {"id": 41, "tag": "EF-1"}, "leaning": "unsure",
    "sentence": "Keeping it another year costs about 2,100 USD (95 %: 640 to 4,500), a new one "
    "about 1,700 USD a year in time. Which is cheaper cannot be told: they lie too near each "
    "other, or its record is too short.",
    "reckoned": "2 failures of its own parts in 3.1 years watched, ...",
    "keep": {"expected": 2104.3, "lower": 641.0, "upper": 4480.2},
    "replace": {"expected": 1702.4, "lower": 380.9, "upper": 5230.0},
    "failures": 2, "watched_years": 3.1, "age_years": 9.4, "at_most_a_year": 2.03,
    "best_age_years": None,
}  # fmt: skip
SHEET = {
    "fan": {"id": 41, "tag": "EF-1"}, "as_of": "2026-03-02",
    "lines": [
        {
            "code": "full_load_at_volts", "term": "Full-load amperes at those volts",
            "text": "3.3 A", "standing": "on_record", "note": "", "find": "",
        },
        {
            "code": "curb_size", "term": "Curb size", "text": "", "standing": "missing",
            "note": "", "find": "measure the curb outside, both ways; whoever goes up",
        },
    ],
    "find_out": ["curb_size"],
}  # fmt: skip


class FanKeepingView(NoParametersMixin, APIView):
    """Keep or replace one fan."""

    @extend_schema(responses=KeepingTold, examples=[told("A fan", KEEPING)])
    def get(self, request: Request, fan: int) -> Response:
        """What keeping the machine in place costs a year and what another one would.

        From its age, its failures and the site's prices; a rough reckoning, not a forecast.
        """
        file, reader = _file(request, fan), _reader(request)
        return Response({"fan": _named(file), **_keeping(file, for_us=reader.works_here)})


class FanReplacementView(NoParametersMixin, APIView):
    """The sheet for whoever supplies another fan."""

    @extend_schema(responses=ReplacementTold, examples=[told("A fan", SHEET)])
    def get(self, request: Request, fan: int) -> Response:
        """Volts as found, amperes at those volts, plate, position, roof; what is missing, who asks.

        `standing` tells what a line rests on: `table` is no plate's value.  Nothing is invented.
        """
        file = _file(request, fan)
        sheet = replacement_sheet(file)
        names = ("code", "term", "text", "standing", "note", "find")
        return Response(
            {
                "fan": _named(file),
                "as_of": file.today.isoformat(),
                "lines": [{name: getattr(line, name) for name in names} for line in sheet.lines],
                "find_out": [line.code for line in sheet.find_out],
            }
        )


def _reader(request: Request) -> Any:
    return request.user


def _file(request: Request, fan: int) -> FanFile:
    rows = Fan.objects.visible_to(_reader(request)).prefetch_related("machines", "feeds")
    row = rows.filter(id=fan).select_related("site__owner", "system").first()
    if row is None:
        raise NotFound
    return read_fan_file(row, timezone.now())


def _named(file: FanFile) -> Told:
    return {"id": file.fan.pk, "tag": file.fan.tag}


def _keeping(file: FanFile, *, for_us: bool) -> Told:
    keeping = keeping_of(file)
    if keeping is None:
        nothing = dict.fromkeys(
            ("keep", "replace", "failures", "watched_years", "age_years", "at_most_a_year",
             "best_age_years")
        )  # fmt: skip
        return {"leaning": "unknown", "sentence": "", "reckoned": "", **nothing}
    found, position = keeping.found, keeping.position
    return {
        "leaning": found.leaning,
        "sentence": keeping_text(keeping),
        "reckoned": keeping_reckoned(keeping, for_us=for_us),
        "keep": _cost(found.keep),
        "replace": _cost(found.replace),
        "failures": position.failures,
        "watched_years": round(position.years, 2),
        "age_years": None if position.age_years is None else round(position.age_years, 2),
        "at_most_a_year": _number(found.upper_a_year),
        "best_age_years": _number(found.best_age_years),
    }


def _cost(cost: Cost | None) -> Told | None:
    if cost is None:
        return None
    return {name: round(getattr(cost, name), 2) for name in ("expected", "lower", "upper")}


def _number(value: float) -> float | None:
    return round(value, 2) if isfinite(value) else None
