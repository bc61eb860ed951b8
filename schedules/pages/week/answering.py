"""What a change came to, kept until the page is shown again, there beside the stop it was about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

KEPT = "week_answer"


@dataclass(frozen=True)
class Answer:
    """Sentences for whoever made a change: what it costs, what it ``breaks`` and ``mends``.

    It is shown at the stop of that key, else where its round begins (``round``, the anchor), else
    on top.  ``is_refused`` where nothing was changed.
    """

    week: str
    text: str
    breaks: Sequence[str] = field(default_factory=list)
    mends: Sequence[str] = field(default_factory=list)
    stop: str = ""
    round: str = ""
    is_refused: bool = False
    can_undo: bool = False


def answer_with(request: HttpRequest, answer: Answer) -> HttpResponse:
    """The week's page again, where the answer stands."""
    request.session[KEPT] = asdict(answer)
    return redirect(reverse("week_page", args=[answer.week]) + "#answer")


def take_answer(request: HttpRequest, week: str) -> Answer | None:
    """The answer that waits for this week's page, which is then told."""
    kept = request.session.get(KEPT)
    if not kept or kept["week"] != week:
        return None
    del request.session[KEPT]
    return Answer(**kept)


def place_of(answer: Answer | None, days: Sequence[Mapping[str, Any]]) -> str:
    """Of an answer's stop and round, the one that is among the rounds shown; empty for neither."""
    rounds = [each for day in days for each in day["rounds"]]
    shown = {stop["key"] for each in rounds for stop in each["stops"]}
    shown |= {each["anchor"] for each in rounds}
    places = (answer.stop, answer.round) if answer else ()
    return next((place for place in places if place in shown), "")


def round_anchor(technician: int, day: date) -> str:
    """A round's name on its page."""
    return f"round-{technician}-{day.isoformat()}"


def stop_key(key: UUID | None) -> str:
    """A stop's name in an answer; empty for none."""
    return str(key) if key else ""
