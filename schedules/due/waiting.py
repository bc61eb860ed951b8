"""What waiting costs, of fans on record: figures for a page or letter to put into sentences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fleet.models import Site
from schedules.due.lines import DueLine
from schedules.due.odds import SHARE, FanOdds, Figures, engine_odds, odds_of, read_figures
from schedules.engine import inspection
from schedules.engine.waiting import (
    DEFAULT_WAITING,
    WaitingParams,
    chance_of_failure,
    cost_of_waiting,
    rounded_out,
)

OF_SITE = ("closed_hours", "closed_hour_cost", "lapsed_week_cost")


@dataclass(frozen=True)
class AtStake:
    """What a fan's owner may lose while waiting ``weeks``: from ``low`` to ``high`` [money].

    It rests on what is known of the fan (``known``), on ``figures`` learned from this fleet or our
    choice, and on ``params``, of which ``ours`` names the prices that are only our choice; with
    them ``chance`` is that of a failure while waiting.  ``lapsed_weeks`` counts, begun ones whole,
    since the code inspection lapsed; 0 where it has not.  Of ``never_inspected`` none is on record,
    so that nobody here knows whether one lapsed.
    """

    low: int
    high: int
    weeks: float
    chance: float
    known: FanOdds
    figures: Figures
    params: WaitingParams
    ours: Sequence[str]
    lapsed_weeks: int
    never_inspected: bool

    @property
    def factor(self) -> float:
        """How many times as often such fans fail with what stands open."""
        return self.figures.of(self.known.state)


def at_stake(lines: Sequence[DueLine]) -> Mapping[int, AtStake]:
    """By fan id; three statements however many fans.

    A fan that does not run is not priced, nor one that nothing is reckoned of.
    """
    running = [line for line in lines if line.may_run]
    if not running:
        return {}
    known, figures = odds_of({line.state.fan_id for line in running}), read_figures()
    told = {line.state.fan_id: line for line in running}
    return {fan: _stake(line, known[fan], figures) for fan, line in told.items() if fan in known}


def prices_of(site: Site, names: Sequence[str]) -> dict[str, float]:
    """Those of a site's own prices that were entered."""
    return {name: float(value) for name in names if (value := getattr(site, name)) is not None}


def params_of(site: Site, figures: Figures) -> tuple[WaitingParams, list[str]]:
    """What a site's waiting is reckoned with, and which of its prices are only our choice."""
    own = prices_of(site, OF_SITE)
    told = {**own, "preventable_share": figures.of(SHARE)}
    return DEFAULT_WAITING.overridden(told), [name for name in OF_SITE if name not in own]


def chances_of(known: Mapping[int, FanOdds], figures: Figures, weeks: float) -> Mapping[int, float]:
    """By fan, the expected chance of a failure within so many weeks."""
    fans = list(known.values())
    if not fans:
        return {}
    expected = chance_of_failure(
        [each.losses for each in fans], [each.years for each in fans], [weeks] * len(fans),
        odds=engine_odds(fans, figures),
    )[1]  # fmt: skip
    return dict(zip(known, expected.tolist(), strict=True))


def _stake(line: DueLine, known: FanOdds, figures: Figures) -> AtStake:
    params, ours = params_of(line.state.site, figures)
    weeks, odds = _weeks_ahead(line, params), engine_odds([known], figures)
    cost = cost_of_waiting([known.losses], [known.years], [weeks], params, odds)
    low, high = rounded_out(float(cost.low[0]), float(cost.high[0]))
    return AtStake(
        low, high, weeks, float(cost.chance[0]), known, figures, params, ours, *_lapsed(line)
    )  # fmt: skip


def _weeks_ahead(line: DueLine, params: WaitingParams) -> float:
    """Until somebody comes: the day booked, else the due day, else as long as we suppose."""
    if line.booked is not None:
        return (line.booked.day - line.today).days / 7
    if line.days_left is not None and line.days_left > 0:
        return line.days_left / 7
    return params.weeks_without_a_day


def _lapsed(line: DueLine) -> tuple[int, bool]:
    """Weeks since the code inspection was due at the latest, and whether none is on record."""
    told = next((each for each in line.dates if each.rule == inspection.number), None)
    if told is None:
        return 0, False
    weeks = -(-(line.today.toordinal() - told.overdue_after_day) // 7)
    return max(0, weeks), told.why == "never_inspected"
