"""What need not be reckoned again of a fan: answers of rules that the new facts leave alone."""

from __future__ import annotations

from collections.abc import Mapping

from schedules.due.answers import ANSWER, answer_of
from schedules.due.truth import Truth
from schedules.engine.rule import RuleColumns
from schedules.engine.untouched import untouched


def kept_answers(truth: Truth, packed: bytes | None) -> Mapping[int, RuleColumns]:
    """Answers of one fan, by their place, that hold for its history as ``packed`` anew.

    None are kept where its stored dates were not reckoned from the history stored beside them.
    """
    if len(truth.due) != 1 or not truth.histories or packed is None:
        return {}
    due, history = truth.due[0], truth.histories[0]
    stored = due["dates"]
    if history["revision"] != due["reckoned_revision"] or len(stored or b"") != ANSWER.itemsize:
        return {}
    return {place: answer_of(stored, place) for place in untouched(bytes(history["row"]), packed)}
