"""What to mind at one fan, from its record: on paper and on the phone."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from django.utils.translation import ngettext

from schedules.fan_page.cautions import (
    cautions_of_motor,
    is_more_than_monthly,
    is_unsafe_to_tip,
    often_text,
    unsafe_to_tip_text,
)
from schedules.round_sheet.fan_file import FanFile

YEAR = timedelta(days=365)


def cautions_at(file: FanFile) -> Iterator[str]:
    """What this fan adds to what holds for all."""
    record = file.record
    yield from cautions_of_motor(record.plate.motor_type, record.feed.control)
    if is_unsafe_to_tip(record.checks):
        yield unsafe_to_tip_text()
    if is_more_than_monthly(record.dates.values()):
        yield often_text()
    resets = record.count_resets(record.day - YEAR)
    if resets:
        yield ngettext(
            "Its breaker was reset within the year: not again until the circuit is judged safe.",
            "Its breaker was reset {count} times within the year: not again until the circuit is "
            "judged safe.",
            resets,
        ).format(count=resets)
