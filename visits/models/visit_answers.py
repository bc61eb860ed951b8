"""An owner's yes or no to a visit beyond those bought: one record for one visit of one site."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models

from fleet.models import OwnerLink, Site


class VisitAnswerQuerySet(models.QuerySet["VisitAnswer"]):
    """Questions asked of answers."""

    def that_count(self) -> VisitAnswerQuerySet:
        """Without questions back, the last one given last."""
        return self.exclude(answer=self.model.Answer.QUESTION).order_by("received_at", "pk")


class VisitAnswer(models.Model):
    """What was said to visit ``number`` of the agreement year that began on ``year_on``.

    Given by a ``link``, ``shown`` is the text the page showed, to the letter, and ``decided_by``
    the name that was typed: who had the link, not who it was.  Given by phone or letter,
    ``recorded_by`` wrote it down.  Of several the last yes or no counts.
    """

    class Answer(models.TextChoices):
        GO_AHEAD = "go_ahead", "go ahead"
        DECLINED = "declined", "declined"
        QUESTION = "question", "a question"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    site = models.ForeignKey(
        Site, on_delete=models.PROTECT, related_name="visit_answers", db_index=False
    )
    year_on = models.DateField()
    number = models.PositiveSmallIntegerField()
    answer = models.CharField(max_length=10, choices=Answer.choices)
    decided_on = models.DateField()
    decided_by = models.CharField(max_length=120)
    note = models.TextField(blank=True)
    link = models.ForeignKey(
        OwnerLink, null=True, blank=True, on_delete=models.PROTECT, related_name="visit_answers"
    )
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    shown = models.TextField(blank=True)
    received_at = models.DateTimeField()

    objects = VisitAnswerQuerySet.as_manager()

    class Meta:
        ordering = ["received_at", "id"]
        # read by lists and letters: what was said to the visit that is due
        indexes = [models.Index(fields=["site", "year_on"], name="visit_answer_of_site")]
        constraints = [
            models.CheckConstraint(
                name="visit_answer_by_a_link_or_a_planner",
                condition=models.Q(link=None, recorded_by__isnull=False)
                | models.Q(link__isnull=False, recorded_by=None),
            )
        ]

    def __str__(self) -> str:
        return f"{self.answer} to visit {self.number} of {self.site_id} from {self.year_on}"

    @property
    def is_answer(self) -> bool:
        """Whether it answers; a question back does not."""
        return self.answer != self.Answer.QUESTION
