"""Examples of what is sent and answered, for the schema; a test holds each to what is true."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample

from visits.api.examples import CHECK, FAN, told

VISIT: dict[str, Any] = {
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a01",
    "kind": "walk_through",
    "owner": "Tannevale Dining",
    "site": "Tannevale Cattle Market",
    "began_at": "2026-03-02T09:10",
    "checks": [
        {
            "fan": "EF-1",
            "readings": {"vibration_motor_radial": "0.19 in/s", "grease_duct": {"high": 400}},
            "context": {"vibration_detector": "peak", "vibration_meter": "overall"},
            "seen": {"running": "runs", "hinge": "broken"},
        }
    ],
}
CALL = {
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a02",
    "kind": "service_call",
    "owner": "Tannevale Dining",
    "site": "Tannevale Cattle Market",
    "began_at": "2026-03-09T07:30",
    "ended_at": "2026-03-09T10:15",
    "notes": "Fan dead, breaker tripped. Was tipped at the hood cleaning on Thursday.",
    "checks": [
        {
            "fan": "EF-1",
            "readings": {
                "winding_ab": "6.2 ohm", "winding_bc": 6.2, "winding_ca": 6.25,
                "insulation": "500 Mohm", "insulation_temperature": "75 F",
                "pole_1": 0.2, "pole_2": "OL", "pole_3": 0.2, "lead_zero": 0.1,
                "volts_ab": "207 V", "volts_bc": 208, "volts_ca": 206,
                "amps_a": "3.3 A", "amps_b": 3.3, "amps_c": 3.2,
                "vibration_motor_radial": "0.55 in/s peak",
            },
            "context": {"pole_meter": "multimeter", "vibration_meter": "overall"},
            "seen": {
                "running": "dead", "rotation": "right", "hinge": "sound", "catch": "engaged",
                "cable": "sound", "wheel": "dented", "wheel_gap": "uneven", "grease_box": "fine",
            },
            "notes": "Volts, amps and vibration once it ran on the new switch.",
        },
        {"fan": "EF-1", "stage": "as_left", "seen": {"running": "runs"}, "switch_left": "on"},
    ],
    "findings": [
        {
            "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0f01", "fan": "EF-1", "subject": "poles",
            "severity": "critical", "failure_mode": "FTS", "mechanism": "impact",
            "loss_of_function": True, "note": "One pole open; the tipped fan may have dropped.",
        }
    ],
    "actions": [
        {"fan": "EF-1", "kind": "replaced", "item": "switch", "part": "30 A, three-pole"}
    ],
    "recommendations": [
        {
            "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0b02", "fan": "EF-1", "subject": "wheel",
            "text": "The wheel is dented and shakes: have it balanced, or the fan replaced.",
            "cost": "1850.00",
        }
    ],
}  # fmt: skip
CORRECTED = {
    **VISIT,
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a03",
    "supersedes": VISIT["id"],
    "correction_reason": "The hinge was stiff, not broken.",
    "checks": [{**VISIT["checks"][0], "seen": {"running": "runs", "hinge": "loose"}}],
}
EVENT = {
    "type": "event", "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0c01", "kind": "hood_cleaning",
    "owner": "Tannevale Dining", "site": "Tannevale Cattle Market", "started": "2026-03-05T23:30",
    "ended": "2026-03-06T03:40", "tipped": ["EF-1"], "places_cleaned": ["hood", "duct"],
}  # fmt: skip
DECISION = {
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0d01", "owner": "Tannevale Dining",
    "site": "Tannevale Cattle Market", "fan": "EF-1", "subject": "hinge", "answer": "go_ahead",
    "on": "2026-03-04", "decided_by": "the head chef",
}  # fmt: skip
CLOSING = {
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0e01",
    "finding": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0f01",
    "closed_on": "2026-03-09", "reason": "It was the fan next to it.",
}  # fmt: skip
STOP = (
    "The hinge is broken: do not tip this fan. Found Mon 2 Mar 2026: repair it or make the fan "
    "safe. A stopped fan means cooking stops."
)
FOLLOW_UP = {
    "rule": "follow_up", "why": "open", "due_on": "2026-03-02", "overdue_after": "2026-03-02",
    "name": "Open finding", "sentence": STOP, "when": "Due Mon 2 Mar 2026; overdue the day after.",
    "basis": "Days to the next look by verdict: our choice; a person's own date goes first.",
}  # fmt: skip
WALK = {
    "rule": "walk_through", "why": "interval", "due_on": "2026-03-16",
    "overdue_after": "2026-03-30", "name": "Walk-through",
    "sentence": "Walk-through: last complete one Mon 16 Feb 2026; average condition, every month. "
    "The base here is 1 month: belt drive.",
    "when": "Due Mon 16 Mar 2026, overdue after Mon 30 Mar 2026.",
    "basis": "Base interval and grace: common practice. Factors by condition and reliability: NETA "
    "MTS, Appendix B. At most four months: our choice.",
}  # fmt: skip
INSPECTION = {
    "rule": "code_inspection", "why": "class", "due_on": "2026-05-02",
    "overdue_after": "2026-05-02", "name": "Code inspection",
    "sentence": "Code inspection: high-volume cooking, every 3 months, counted from Mon 2 Feb "
    "2026.",
    "when": "Due Sat 2 May 2026; overdue the day after.",
    "basis": "Months by cooking: NFPA 96, table of inspections for grease. The local code and the "
    "authority having jurisdiction come first.",
}  # fmt: skip
BEARINGS = {
    "code": "no_bearing_data",
    "sentence": "Whether the bearings need grease cannot be told: record whether they are sealed "
    "or greased.",
}
DATES = {
    "due_on": "2026-03-02", "due_rule": "follow_up", "overdue_after": "2026-03-02",
    "overdue_rule": "follow_up", "not_before": None, "worst_open": "stop", "sentence": STOP,
    "dates": [FOLLOW_UP, WALK, INSPECTION], "cannot_tell": [BEARINGS], "fault": "",
    "is_current": True,
}  # fmt: skip
DUE = [{"fan": FAN, **DATES, "stop": STOP}]
VISIT_ANSWER = {
    "id": VISIT["id"], "created": True, "superseded": False, "reckoned": True, "checks": [CHECK],
    "cautions": [], "due": DUE, "failures": [], "letter": None, "plates": [],
}  # fmt: skip
PROBLEM = {
    "type": "about:blank", "title": "Bad Request", "status": 400, "code": "invalid",
    "detail": "1 thing to put right.",
    "errors": [
        {"pointer": "#/checks/0/fan", "problem": "Tannevale Cattle Market has no such fan",
         "remedy": "did you mean EF-1? it may be EF-1", "seen": '"EF-11"'},
    ],
}  # fmt: skip
BATCH_ANSWER = {
    "results": [
        {"status": 201, "answer": VISIT_ANSWER},
        {"status": 400, "problem": PROBLEM},
    ]
}
DUE_LINE = {
    "fan": FAN, "place": "north roof", "site": {"id": 12, "name": "Tannevale Cattle Market"},
    "owner": {"id": 7, "name": "Tannevale Dining"}, "section": "overdue", "days_left": -3,
    "days_over": 3, "stop": STOP, "notes": [], "waiting": None, **DATES,
}  # fmt: skip
CHANGE = {
    "fan": FAN, "site": {"id": 12, "name": "Tannevale Cattle Market"},
    "changed_at": "2026-03-02T15:14:03Z",
    "before": {"due_on": "2026-04-28", "rule": "walk_through"},
    "after": {"due_on": "2026-03-02", "rule": "follow_up"},
}  # fmt: skip


def told_of(id_: Any) -> list[OpenApiExample]:
    """What somebody hears who logged an event, an answer or a closing, and who sent it again."""
    answer = {"id": id_, "created": True, "reckoned": True, "due": DUE}
    return [
        told("What it moved", answer, 201),
        told("Stored already", {**answer, "created": False}),
    ]


BOOKING = {
    "id": "0f5b2c1e-7d0a-4c57-9e33-5a1f2b6c8d90", "site": {"id": 12, "name": "Cattle Market"},
    "technician": {"id": 4, "name": "Jo Park"}, "day": "2026-12-01", "from_minute": 540,
    "until_minute": 660, "note": "hatch by the pantry", "sequence": 1,
    "changed_at": "2026-11-30T14:05:00Z", "withdrawn_at": None, "withdrawn_reason": "",
}  # fmt: skip
WEEK = {
    "week": "2026-W50", "version": 2, "published_at": "2026-12-04T22:20:00Z",
    "time_zone": "America/Chicago", "revision": 9, "overload": None,
    "figures": {"rounds_cost": 412.5, "travel_minutes": 64.0},
    "rounds": [
        {
            "technician": {"id": 4, "name": "J. Park"}, "day": "2026-12-08", "leave_minute": 420,
            "back_minute": 571, "travel_minutes": 64, "travel_km": 48.2, "overtime_minutes": 0,
            "past_shift_minutes": 0, "free_minutes": 299, "cost": 137.5, "published": True,
            "broken": [],
            "stops": [
                {
                    "id": "6d1c0a52-0d1e-4a53-8f1b-7c8e2b9f4a10",
                    "site": {"id": 12, "name": "Tannevale Cattle Market"}, "arrive_minute": 452,
                    "start_minute": 452, "leave_minute": 539, "waiting_minutes": 0,
                    "travel_minutes": 32, "travel_km": 24.1, "coming_cost": 41.5,
                    "waiting_cost": 160.0, "why": "overdue",
                    "reason": f"overdue. EF-1: {STOP}", "pinned": False,
                    "booking": "0f5b2c1e-7d0a-4c57-9e33-5a1f2b6c8d90", "broken": [],
                    "skills": [], "skills_lacking": [],
                    "fans": [{**FAN, "skill": None, "rules": [6], "pulled_forward": False}],
                }
            ],
        }
    ],
    "left_out": [
        {
            "site": {"id": 14, "name": "Tannevale Old Brewery"}, "reason": "full",
            "text": "there is no room left for it", "required": False,
            "fans": [{"id": 32, "tag": "EF-2", "skill": None, "rules": [1]}],
        }
    ],
}  # fmt: skip
DONE = {
    "first": "2026-W48", "last": "2026-W49", "by": "week", "next": None,
    "results": [
        {
            "of": {"id": None, "name": "2026-W49"}, "planned": 20, "kept": 13, "later": 2,
            "excused": 4, "silent": 1, "dropped": 1, "ahead": 0, "on_time": 14, "was_overdue": 2,
            "unplanned": 3,
            "reasons": [{"reason": "no_access", "count": 3}, {"reason": "weather", "count": 1}],
        },
    ],
}  # fmt: skip
STOP_OF_WEEK = {
    "stop": "8c1f5b60-2f4f-4a0a-8c63-2b8f0c9b0a11", "day": "2026-12-01",
    "site": {"id": 12, "name": "Cattle Market"}, "technician": {"id": 4, "name": "Jo Park"},
    "fans": [
        {
            "fan": FAN, "outcome": "excused", "done_on": None, "on_time": None,
            "overdue_after": "2026-12-04", "reason": "no_access", "note": "gate locked",
        },
    ],
}  # fmt: skip
REASON = {
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0b01", "week": "2026-W49",
    "stop": "8c1f5b60-2f4f-4a0a-8c63-2b8f0c9b0a11", "reason": "no_access", "note": "gate locked",
}  # fmt: skip
REASON_TOLD = {
    **REASON, "day": "2026-12-01", "given_at": "2026-12-01T16:20:00Z",
    "given_by": {"id": 4, "name": "Jo Park"},
}  # fmt: skip
PATTERN = {
    "id": 3, "fan": FAN, "site": {"id": 12, "name": "Tannevale Cattle Market"},
    "item": "switch", "state": "open", "failures": 2,
    "first_on": "2025-09-12", "last_on": "2026-03-05", "closest_days": 174,
    "again_soon": True, "by_rate": False,
    "figures": {
        "years": 2.5, "others": 4, "others_years": 310.2, "ratio": 62.0, "lower": 5.6,
        "upper": 433.0, "chance": 0.0009, "discovery": 0.31, "motor_type": "three_phase",
        "drive": "direct",
    },
    "as_of": "2026-03-10", "raised_at": "2026-03-10T04:20:11Z",
    "sentence": (
        "Disconnecting switch failed twice in 6 months: the same item again within a year."
    ),
}  # fmt: skip
PATTERN_FAILED = {
    "failed_on": None, "ran_on": "2026-01-20", "found_on": "2026-03-05",
    "visit": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a02", "machine": 31, "in_warranty": True,
    "cause": "", "failure_mode": "NOO", "mechanism": "", "replaced_without_cause": True,
    "looked_before": {
        "on": "2026-01-20", "visit": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a01",
        "verdicts": {"vibration_motor_radial": "act"},
    },
    "looked_after": None,
    "events": [
        {
            "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a05", "kind": "hood_cleaning",
            "ended_on": "2026-03-01", "tipped": True,
        },
    ],
    "advice": {
        "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a07", "on": "2026-01-20", "answer": "declined",
    },
}  # fmt: skip
PATTERN_WHOLE = {
    **PATTERN, "evidence": [PATTERN_FAILED], "call_backs": [], "common": [], "closings": [],
    "machines": {
        "stood": 2, "told": "position", "item_stays": True,
        "failures": [{"machine": 19, "failures": 1}, {"machine": 31, "failures": 1}],
        "elsewhere": 1, "elsewhere_years": 84.3,
    },
}  # fmt: skip
PATTERN_CLOSED = {
    "failures": 2, "cause": "screws of the switch loosened by vibration; curb stiffened",
}  # fmt: skip
