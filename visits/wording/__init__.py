"""Turns the record's codes and figures into words, through gettext, when something is read."""

from visits.wording.cautions import caution_words, left_out_text
from visits.wording.figures import figure, figures, number_text, reading_text
from visits.wording.judgements import basis_words, judgement_sentence
from visits.wording.names import (
    ANSWERS,
    EVENT_KINDS,
    ITEMS,
    PLACES,
    REASONS,
    SEVERITIES,
    STAGES,
    STATES,
    SUBJECTS,
    VERDICTS,
    VISIT_KINDS,
    WORK,
    subject_words,
    words,
)

__all__ = [
    "ANSWERS",
    "EVENT_KINDS",
    "ITEMS",
    "PLACES",
    "REASONS",
    "SEVERITIES",
    "STAGES",
    "STATES",
    "SUBJECTS",
    "VERDICTS",
    "VISIT_KINDS",
    "WORK",
    "basis_words",
    "caution_words",
    "figure",
    "figures",
    "judgement_sentence",
    "left_out_text",
    "number_text",
    "reading_text",
    "subject_words",
    "words",
]
