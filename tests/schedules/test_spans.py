"""How long something was watched, in words that people use: never 0.0 years, never 1 years."""

from __future__ import annotations

import pytest
from django.utils import translation

from schedules.wording.days import span_text
from schedules.wording.patterns import fan_years_text


@pytest.mark.parametrize(
    ("years", "english", "spanish"),
    [
        (0.0, "1 day", "1 día"),
        (20 / 365.25, "20 days", "20 días"),
        (0.5, "6 months", "6 meses"),
        (1.02, "1 year", "1 año"),
        (2.41, "2.4 years", "2.4 años"),
    ],
)
def test_span_when_short_then_in_days_or_months(years: float, english: str, spanish: str) -> None:
    told = span_text(years)
    with translation.override("es"):
        assert (told, span_text(years)) == (english, spanish)


@pytest.mark.parametrize(
    ("years", "told"), [(0.003, "less than 0.1"), (0.34, "0.3"), (1234.4, "1,234")]
)
def test_fan_years_when_few_then_not_none(years: float, told: str) -> None:
    assert fan_years_text(years) == told
