"""Turns the record's codes and figures into words, through gettext, when something is read."""

from visits.wording.cautions import caution_words, left_out_text
from visits.wording.figures import figure, figures, number_text, reading_text
from visits.wording.judgements import (
    basis_words,
    fault_for_owner,
    judgement_sentence,
    left_so,
    owner_sentence,
    owner_subject,
)
from visits.wording.names import (
    ANSWERS,
    EVENT_KINDS,
    ITEMS,
    PLACES,
    REASONS,
    RUNNING,
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
    "RUNNING",
    "SEVERITIES",
    "STAGES",
    "STATES",
    "SUBJECTS",
    "VERDICTS",
    "VISIT_KINDS",
    "WORK",
    "basis_words",
    "caution_words",
    "fault_for_owner",
    "figure",
    "figures",
    "judgement_sentence",
    "left_out_text",
    "left_so",
    "number_text",
    "owner_sentence",
    "owner_subject",
    "reading_text",
    "subject_words",
    "words",
]
