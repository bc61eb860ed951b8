"""Where a limit comes from: standard, clause, edition, and how well that is known."""

from __future__ import annotations

from typing import NamedTuple

CONFIRMED = "confirmed"
ONE_SOURCE = "one source"
FROM_MEMORY = "from memory"
COMMON_PRACTICE = "common practice"
OUR_CHOICE = "our choice"
SET_HERE = "set here"
STANDINGS = (CONFIRMED, ONE_SOURCE, FROM_MEMORY, COMMON_PRACTICE, OUR_CHOICE, SET_HERE)


class Basis(NamedTuple):
    """What a verdict rests on; ``standing`` is one of ``STANDINGS``.

    *confirmed* is two independent public texts, *one source* one, *from memory* none; *common
    practice* is a habit of the trade without a source, *our choice* a default of ours, *set here* a
    value this installation has changed.  An empty ``edition`` means that it was not stated where
    the value was read.
    """

    standard: str
    clause: str
    edition: str
    standing: str


PRACTICE = Basis("common practice", "", "", COMMON_PRACTICE)
CHOICE = Basis("our choice", "", "", OUR_CHOICE)
MG1_VOLTS = Basis("NEMA MG-1", "12.44.1", "", CONFIRMED)
MG1_UNBALANCE = Basis("NEMA MG-1", "14.36", "", CONFIRMED)
NEC_OVERLOAD = Basis("NFPA 70", "430.32(A)(1)", "2017", CONFIRMED)
NEC_BREAKER = Basis("NFPA 70", "Table 430.52", "2017", CONFIRMED)
NEC_STANDARD_SIZES = Basis("NFPA 70", "240.6(A)", "2017", FROM_MEMORY)
IEEE_43 = Basis("IEEE 43", "12.3 Table 3", "2013", CONFIRMED)
NETA_CONTACT = Basis("NETA MTS", "7.6", "", CONFIRMED)
NETA_HEAT = Basis("NETA MTS", "Table 100.18", "", CONFIRMED)
FAN_VIBRATION = Basis("ISO 14694", "Table 5", "2003", CONFIRMED)
FAN_VIBRATION_MEMORY = Basis("ISO 14694", "Table 5", "2003", FROM_MEMORY)
GREASE_DUCT = Basis("NFPA 96", "12.6.1.1.3", "2021", CONFIRMED)
GREASE_HOUSING = Basis("NFPA 96", "12.6.1.1.4", "2021", FROM_MEMORY)
BELT_HANDBOOK = Basis("belt handbook (RMA/ARPM)", "deflection, groove wear", "", CONFIRMED)
HINGED_FAN = Basis("NFPA 96", "8.1.1.1", "2021", CONFIRMED)
