"""Advice that waits for its owner's answer: what still stands, and the letters that remind."""

from schedules.notices.advice.asking import Asked, advice_to_mail
from schedules.notices.advice.by_link import LinkAsked, asked_on_visit, letters_for, link_letters
from schedules.notices.advice.gathering import advice_letters, reached_today

__all__ = [
    "Asked",
    "LinkAsked",
    "advice_letters",
    "advice_to_mail",
    "asked_on_visit",
    "letters_for",
    "link_letters",
    "reached_today",
]
