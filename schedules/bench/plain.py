"""Two views to compare with: one bare INSERT, and nested serializers with a query a table."""

from __future__ import annotations

import json
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.db import transaction
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from rest_framework import serializers
from rest_framework.decorators import api_view
from rest_framework.request import Request
from rest_framework.response import Response

from schedules.bench.variants import reckon_each
from schedules.revisions import raise_revisions
from visits.judging import judge_row, verdicts
from visits.models import Check, Visit


@csrf_exempt
@login_not_required
def bare(request: HttpRequest) -> JsonResponse:
    """Write one row and say so: the least a post can cost here.

    Served, parsed and committed as a visit is, over the same connections and through the same
    middleware; but nobody is asked for a key, nothing is checked, and the row is taken as sent.
    """
    told = json.loads(request.body)
    visit = Visit.objects.create(**told, received_at=timezone.now())
    return JsonResponse({"id": visit.pk}, status=201)


class _CheckSerializer(serializers.ModelSerializer[Check]):
    class Meta:
        model = Check
        exclude = ["visit"]


class _VisitSerializer(serializers.ModelSerializer[Visit]):
    checks = _CheckSerializer(many=True)

    class Meta:
        model = Visit
        exclude = ["received_at", "recorded_by"]

    def create(self, validated_data: dict[str, Any]) -> Visit:
        checks = validated_data.pop("checks")
        visit = Visit.objects.create(**validated_data, received_at=timezone.now())
        for told in checks:
            check = Check.objects.create(visit=visit, **told)
            check.judged = verdicts(judge_row(vars(check)))
            check.save()
        return visit


@api_view(["POST"])
def plain(request: Request) -> Response:
    """Write a visit by nested serializers and reckon its fans, each table by a query of its own."""
    form = _VisitSerializer(data=request.data)
    form.is_valid(raise_exception=True)
    with transaction.atomic():
        visit = form.save()
        fans = [check.fan_id for check in visit.checks.all()]
        raise_revisions(fans)
        reckon_each(fans)
    return Response(form.data, status=201)
