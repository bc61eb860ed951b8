"""Advice that waits for its owner's answer: what still stands, and the letters that remind."""

from schedules.notices.advice.asking import Asked, advice_to_mail
from schedules.notices.advice.gathering import advice_letters, reached_today

__all__ = ["Asked", "advice_letters", "advice_to_mail", "reached_today"]
