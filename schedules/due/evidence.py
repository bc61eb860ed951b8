"""The readings, notes and facts behind dates, for the sentences of a list or a page."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from config.questions import Row
from fleet.plates import has_no_belt
from fleet.quantities import VERDICT_ORDER, is_of_belt
from schedules.due.behind import Behind, read_behind
from schedules.due.grounds import Grounds, LeftOut, Monthly
from schedules.engine import follow_up, vibration
from schedules.engine.codes import SUBJECTS
from schedules.engine.record import RuleDate
from visits.judging import NO_PLATE, feed_in_force, judge_stored, plate_of, subject_of
from visits.limits import Judgement
from visits.services.beltless import had_no_belt

VERDICT_NAMES = {order: name for name, order in VERDICT_ORDER.items()}


@dataclass(frozen=True)
class Note:
    """What a person wrote down of a fault; ``no_belt`` where it is on a belt and the fan has none
    by the register."""

    subject: str
    item: str
    verdict: str
    note: str
    no_belt: bool = False


Evidence = Judgement | Note | Monthly | LeftOut


Found = Mapping[int, Mapping[int, Evidence]]
"""By fan id, then by the number of the rule: each rule gives a fan one date."""


@dataclass(frozen=True)
class Wanted:
    """What a rule rests on: one subject of one fan on one day; ``verdict`` empty for any."""

    fan_id: int
    rule: int
    on: date
    subject: str
    verdict: str

    def fits(self, verdict: str | None) -> bool:
        """Whether a reading of the subject is the one meant."""
        return verdict is not None and self.verdict in ("", verdict)


Places = dict[tuple[int, date], list[Wanted]]
"""What is wanted, by fan and day."""


Judged = tuple[int, date, Iterable[Judgement]]
"""What was just read of a fan on a day."""


def evidence_of(
    dates: Iterable[tuple[int, RuleDate]],
    at_hand: Iterable[Judged] = (),
    behind: Behind | None = None,
) -> Found:
    """What was read or written down where a date rests on one such thing, and facts behind it.

    Other dates are left out, as is a reading that means another verdict today.  ``at_hand`` are
    readings just judged; the rest is looked up in ``behind`` or, where nobody has read that, asked
    in one statement for all fans.
    """
    dates = list(dates)
    found: dict[int, dict[int, Evidence]] = defaultdict(dict)
    wanted, grounds = _places(dates), Grounds.of(dates)
    for fan_id, on, judgements in at_hand:
        for one, judgement in _matching(wanted.get((fan_id, on), ()), judgements):
            found[fan_id][one.rule] = judgement
    wanted = {
        place: left
        for place, ones in wanted.items()
        if (left := [one for one in ones if one.rule not in found[one.fan_id]])
    }
    behind = behind or _read(wanted, grounds)
    if behind is None:
        return found
    for fan_id, rule, fact in grounds.told(behind):
        found[fan_id][rule] = fact
    # a reading says more than a note, and replaces it
    for one, note in _notes(behind, wanted):
        found[one.fan_id][one.rule] = note
    for one, judgement in _readings(behind, wanted):
        found[one.fan_id][one.rule] = judgement
    return found


def _places(dates: Iterable[tuple[int, RuleDate]]) -> Places:
    wanted: Places = defaultdict(list)
    for one in (_wanted(fan_id, told) for fan_id, told in dates):
        if one is not None:
            wanted[one.fan_id, one.on].append(one)
    return wanted


def _read(wanted: Places, grounds: Grounds) -> Behind | None:
    """What is wanted and not at hand; None where that is nothing."""
    days: dict[int, list[date]] = defaultdict(list)
    for fan_id, day in wanted:
        days[fan_id].append(day)
    if not (days or grounds.often or grounds.events):
        return None
    return read_behind(days, grounds.since, grounds.often)


def _wanted(fan_id: int, told: RuleDate) -> Wanted | None:
    args = told.args
    if told.rule == follow_up.number:
        subject = SUBJECTS[int(args["subject"])]
    elif told.rule == vibration.number and args["point"] < len(vibration.POINTS):
        subject = f"vibration_{vibration.POINTS[int(args['point'])]}"
    else:
        return None
    verdict = VERDICT_NAMES[int(args["verdict"])] if "verdict" in args else ""
    seen_on = date.fromordinal(int(args["seen_day"]))
    return Wanted(fan_id, told.rule, seen_on, subject, verdict)


def _readings(behind: Behind, wanted: Places) -> Iterator[tuple[Wanted, Judgement]]:
    """The judgement of the last check that saw the subject on its day."""
    chosen: dict[Wanted, Row] = {}
    for check, ones in _on_their_days(behind.checks, wanted):
        for one in ones:
            if one.fits(check["judged"].get(one.subject)):
                chosen[one] = check
    for one, check in chosen.items():
        yield from _matching([one], _judged(check, behind))


def _judged(check: Row, behind: Behind) -> list[Judgement]:
    """A stored check judged by the plate as it reads today and the feed of its day."""
    fan_id, machine_id = check["fan_id"], check["machine_id"]
    plates = (plate_of(m) for m in behind.machines.get(fan_id, ()) if m["id"] == machine_id)
    feed = feed_in_force(behind.feeds.get(fan_id, ()), check["visit__local_on"])
    return judge_stored(check, next(plates, NO_PLATE), feed)


def _on_their_days(
    rows: Mapping[int, Iterable[Row]], wanted: Places
) -> Iterator[tuple[Row, list[Wanted]]]:
    """Rows of a day of which something is wanted, in order of time."""
    for fan_id in dict.fromkeys(fan_id for fan_id, _ in wanted):
        for row in rows.get(fan_id, ()):
            if ones := wanted.get((fan_id, row["visit__local_on"])):
                yield row, ones


def _matching(
    wanted: Iterable[Wanted], judgements: Iterable[Judgement]
) -> Iterator[tuple[Wanted, Judgement]]:
    """The judgements that are the ones meant."""
    for judgement in judgements:
        for one in wanted:
            if subject_of(judgement) == one.subject and one.fits(judgement.verdict):
                yield one, judgement


def is_on_no_belt(row: Row, behind: Behind) -> bool:
    """Whether a finding is on a belt and the fan has none: neither by the machine in place, for
    with one replaced all went that was found on its belt, nor by what stood there that day."""
    if not is_of_belt(row["subject"] or row["item"]):
        return False
    machines = behind.machines.get(row["fan_id"], ())
    placed = [each for each in machines if not each["removed_on"]]
    lacks = any(has_no_belt(each["drive"], each["unreadable"]) for each in placed)
    return lacks and had_no_belt(machines, row["visit__local_on"])


def _notes(behind: Behind, wanted: Places) -> Iterator[tuple[Wanted, Note]]:
    """What a person wrote down of the same subject on the same day."""
    for row, ones in _on_their_days(behind.findings, wanted):
        note = Note(
            row["subject"], row["item"], row["verdict"], row["note"], is_on_no_belt(row, behind)
        )
        for one in ones:
            if one.subject in (note.subject, note.item):
                yield one, note
