"""What waiting costs is learned from looks, what they left open, and failures after them."""

from __future__ import annotations

import datetime as dt
from io import StringIO

import pytest
from django.core.management import call_command

from fleet.models import Fan, Machine
from schedules.due.hazards import learn_hazards
from schedules.due.odds import odds_of, read_figures
from schedules.due.reckoning import reckon_fleet
from schedules.engine.failures.hazards import HazardParams
from schedules.engine.failures.lifetimes import weibull
from schedules.models import WaitingFigure
from tests.patterns.failing import failed
from tests.schedules.fans import NOW, make_fan, walk

pytestmark = pytest.mark.django_db
FEW = HazardParams().overridden({"least_failures": 1, "least_total": 1, "share_least": 2})


def watched(tag: str) -> Fan:
    """By hand: 31 days with nothing open from 1 January, 28 at act from 1 February, mended 1 March.

    Then 31 days with nothing open until 1 April.
    """
    fan = make_fan(tag)
    walk(fan, "2026-01-01")
    walk(fan, "2026-02-01", {"belt": "act"})
    walk(fan, "2026-03-01", {"belt": "within"})
    walk(fan, "2026-04-01", {"vibration": "watch", "hinge": "within"})
    reckon_fleet(now=NOW)
    return fan


def told(name: str) -> WaitingFigure:
    return WaitingFigure.objects.get(name=name)


def test_figures_when_learned_then_spans_and_failures_by_hand() -> None:
    fan = watched("EF-1")
    failed(fan, "2026-02-10", "belt", mended=False, failed_on=dt.date(2026, 2, 10))
    failed(fan, "2026-03-20", "motor", mechanism="short_circuit")
    learn_hazards(now=NOW, params=FEW)
    act, nothing = told("act"), told("nothing")
    assert (act.seen, act.of) == (1, pytest.approx(2 * 28 / 90))
    assert (nothing.seen, nothing.of) == (1, pytest.approx(2 * 62 / 90))
    assert (told("share").seen, told("share").of) == (1, 2)
    assert (told("act").is_learned, told("watch").is_learned) == (True, False)


def test_fan_then_its_losses_its_years_and_what_stands_open() -> None:
    shaking = watched("EF-1")
    failed(shaking, "2026-05-01", "belt")
    reckon_fleet(now=NOW, only_stale=False, from_truth=True)
    (known,) = odds_of([shaking.pk]).values()
    assert (known.losses, known.state, known.class_fans) == (1, "shaking_watch", 0)
    assert known.years == pytest.approx(120 / 365.25)


def test_figures_when_too_few_then_our_choice_and_said_so() -> None:
    watched("EF-1")
    out = StringIO()
    call_command("fit_failure_odds", stdout=out)
    assert read_figures().of("act") == HazardParams().act
    assert "act: 0 of 0.0214, 3 (too few to learn from, our choice)" in out.getvalue()


# The law is that of ``weibull``, which other packages were held against (test_failure_lives).
def test_lives_of_machines_when_ten_ended_then_their_law_with_those_still_standing() -> None:
    fan, lives = make_fan(), []
    fan.machines.update(installed_on=NOW.date() - dt.timedelta(days=900))
    for number in range(10):
        came, days = dt.date(2010, 1, 1), 1000 + 300 * number
        lives.append(days / 365.25)
        gone = came + dt.timedelta(days=days)
        Machine.objects.create(fan=fan, installed_on=came, removed_on=gone)
    learn_hazards(now=NOW, params=FEW)
    law = weibull([*lives, 900 / 365.25], [True] * 10 + [False])
    shape, scale = told("life_shape"), told("life_scale_years")
    assert (shape.figure, scale.figure) == (pytest.approx(law.shape, rel=5e-3),
                                            pytest.approx(law.scale, rel=5e-3))  # fmt: skip
    assert (shape.seen, shape.of) == (10, 11)
