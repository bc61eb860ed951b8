"""Keep or replace the machine in place: what is on record of it, both costs, a drawing."""

from __future__ import annotations

from dataclasses import dataclass, field

from dateutil.relativedelta import relativedelta
from django.utils.translation import gettext as _

from schedules.charts import Chart, Drawing, Limit, Point, Series, TimeScale, draw
from schedules.due.odds import LIFE_SCALE, LIFE_SHAPE, FanOdds, Figures, odds_of, read_figures
from schedules.due.waiting import prices_of
from schedules.engine.codes import OF_MACHINE
from schedules.engine.failure_odds import DAYS_A_YEAR
from schedules.engine.keeping import (
    DEFAULT_KEEPING,
    KeepOrReplace,
    KeepParams,
    Position,
    keep_or_replace,
)
from schedules.engine.watching import watch_begins
from schedules.fan_page.gathering import FanFile
from schedules.fan_page.losses import losses_in
from schedules.wording.money import money_text

OF_SITE = ("repair_cost", "replacement_cost", "closed_hours", "closed_hour_cost")


@dataclass(frozen=True)
class Keeping:
    """The answer with all it rests on; ``ours`` names the prices that are only our choice.

    ``left_out`` counts failures of parts that stay when the machine goes.
    """

    found: KeepOrReplace
    position: Position
    params: KeepParams
    known: FanOdds
    figures: Figures
    left_out: int
    ours: tuple[str, ...] = field(default=())


def keeping_of(file: FanFile) -> Keeping | None:
    """Of the machine in place; None without one, or where nothing is reckoned of the fan yet."""
    known = odds_of([file.fan.pk]).get(file.fan.pk)
    if file.machine is None or known is None:
        return None
    figures, site = read_figures(), file.fan.site
    own = prices_of(site, OF_SITE)
    lives = [figures.learned.get(name) for name in (LIFE_SHAPE, LIFE_SCALE)]
    life = {row.name: row.figure for row in lives if row} if all(lives) else {}
    params = DEFAULT_KEEPING.overridden(own | life)
    position, left_out = _position(file, known)
    ours = tuple(name for name in OF_SITE if name not in own)
    found = keep_or_replace(position, params)
    return Keeping(found, position, params, known, figures, left_out, ours)


def _position(file: FanFile, known: FanOdds) -> tuple[Position, int]:
    """The machine's own failures and years under watch, and how many failures are left out."""
    machine = file.machine
    since = machine.installed_on if machine else None
    # a failure on the day it came was of the one that it replaced
    losses = [loss for loss in losses_in(file) if since is None or loss.day > since]
    days = {loss.day for loss in losses if loss.item in OF_MACHINE}
    seen = [visit.local_on.toordinal() for visit in file.visits.values()]
    failed = [loss.day.toordinal() for loss in losses]
    first = watch_begins(file.fan.entered_on.toordinal(), seen, failed)
    first = max(first, since.toordinal()) if since else first
    years = (max([first, *seen, *failed]) - first) / DAYS_A_YEAR
    age = max(0, (file.today - since).days) / DAYS_A_YEAR if since else None
    left_out = len({loss.day for loss in losses} - days)
    position = Position(age, len(days), years, known.shape, known.mean_a_year)
    return position, left_out


def draw_keeping(keeping: Keeping, file: FanFile) -> Drawing | None:
    """What another year costs, this one and those to come, beside a new machine's year."""
    found = keeping.found
    if found.leaning in ("no_age", "no_failures"):
        return None
    days = [
        (file.today + relativedelta(years=n)).toordinal() for n in range(len(found.keep_by_year))
    ]
    points = [
        Point(day, cost, _("{cost} a year").format(cost=money_text(round(cost))))
        for day, cost in zip(days, found.keep_by_year, strict=True)
    ]
    new = found.replace.expected
    told = _("a new one: {cost} a year").format(cost=money_text(round(new)))
    chart = Chart(
        _("What keeping it another year costs"), _("a year"),
        [Series(_("keeping it"), points)], [Limit(new, told)],
        column=_("Another year from then on"),
    )  # fmt: skip
    return draw(chart, TimeScale(days[0] - 30, days[-1] + 30))
