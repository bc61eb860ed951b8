"""The terms of failures that the record counts, for whoever offers them to a person."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from config.api.filters import NoParametersMixin
from fleet.failure_terms import CAUSE_GROUPS, FAILURE_MODES, MECHANISMS, OTHER_CAUSE
from visits.api.examples import told
from visits.wording import CAUSES, words
from visits.wording import FAILURE_MODES as MODE_WORDS
from visits.wording import MECHANISMS as MECHANISM_WORDS


class Term(serializers.Serializer[Any]):
    """A term and what it says."""

    code = serializers.CharField()
    words = serializers.CharField()


class CauseTerm(Term):
    """A cause; ``group`` is where it comes from, empty for what is on no list."""

    group = serializers.ChoiceField(choices=list(CAUSE_GROUPS), allow_blank=True)


class FailureTerms(serializers.Serializer[Any]):
    """What ``failure_mode``, ``mechanism`` and ``cause`` of a finding are counted by."""

    failure_modes = Term(many=True)
    mechanisms = Term(many=True)
    causes = CauseTerm(many=True)


EXAMPLE = {
    "failure_modes": [{"code": "FTS", "words": "does not start on demand"}],
    "mechanisms": [{"code": "corrosion", "words": "corrosion"}],
    "causes": [{"code": "water_entry", "words": "water let in by weather", "group": "corrosion"}],
}


class FailureTermsView(NoParametersMixin, APIView):
    """Terms of failures."""

    @extend_schema(responses=FailureTerms, examples=[told("Some of them", EXAMPLE)])
    def get(self, request: Request) -> Response:
        """Failure modes and mechanisms after ISO 14224, and causes, as findings may have them.

        Another text is kept as written and answered with a caution: nothing is lost, but no count
        knows it.
        """
        causes = [(cause, group) for group, each in CAUSE_GROUPS.items() for cause in each]
        return Response(
            {
                "failure_modes": [_term(MODE_WORDS, code) for code in FAILURE_MODES],
                "mechanisms": [_term(MECHANISM_WORDS, code) for code in MECHANISMS],
                "causes": [
                    {**_term(CAUSES, cause), "group": group}
                    for cause, group in (*causes, (OTHER_CAUSE, ""))
                ],
            }
        )


def _term(table: Any, code: str) -> dict[str, str]:
    return {"code": code, "words": str(words(table, code))}
