"""Random fans for hypothesis, which shrinks a record it finds fault with."""

from __future__ import annotations

from hypothesis import strategies as st

from schedules.engine.record import FanRecord
from tests.oracle.random_records import random_record


def records() -> st.SearchStrategy[FanRecord]:
    return st.randoms(use_true_random=False).map(random_record)
