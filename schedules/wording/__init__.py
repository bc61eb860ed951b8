"""Turns dates, their reasons and what is missing into words, through gettext, when read."""

from schedules.wording.bookings import (
    booked_note,
    booked_text,
    hours_text,
    technician_name,
    when_booked_text,
)
from schedules.wording.days import day_text, days_left_text, overdue_text, short_day
from schedules.wording.explained import Explained, explain, explain_all, when_text
from schedules.wording.hours import clock_text, week_text
from schedules.wording.lines import (
    beyond_text,
    dateless_text,
    distance_text,
    driver_text,
    due_text,
    kitchen_text,
    notes_of,
    reason_text,
    section_name,
    stop_text,
    verdict_code,
    verdict_text,
)
from schedules.wording.money import money_range, money_text
from schedules.wording.rules import RULE_NAMES, every_months, rule_name, rule_sentence
from schedules.wording.seen import seen_text, told_text
from schedules.wording.sites import (
    EntryText,
    bought_text,
    entry_text,
    surroundings_words,
    system_text,
)
from schedules.wording.untold import fault_sentence, untold_sentence
from schedules.wording.visit_answers import visit_answer_text

__all__ = [
    "RULE_NAMES",
    "EntryText",
    "Explained",
    "beyond_text",
    "booked_note",
    "booked_text",
    "bought_text",
    "clock_text",
    "dateless_text",
    "day_text",
    "days_left_text",
    "distance_text",
    "driver_text",
    "due_text",
    "entry_text",
    "every_months",
    "explain",
    "explain_all",
    "fault_sentence",
    "hours_text",
    "kitchen_text",
    "money_range",
    "money_text",
    "notes_of",
    "overdue_text",
    "reason_text",
    "rule_name",
    "rule_sentence",
    "section_name",
    "seen_text",
    "short_day",
    "stop_text",
    "surroundings_words",
    "system_text",
    "technician_name",
    "told_text",
    "untold_sentence",
    "verdict_code",
    "verdict_text",
    "visit_answer_text",
    "week_text",
    "when_booked_text",
    "when_text",
]
