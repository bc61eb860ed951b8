"""A round of one fan, as the API's page shows it."""

from __future__ import annotations

from typing import Any

PERSON: dict[str, Any] = {
    "id": 3, "login": "theo", "name": "Theo Brandt", "language": "en", "may_inspect": True,
    "may_work_live": True,
}  # fmt: skip
STOP = {
    "order": 1, "key": "3f0e9b5c-6f0b-4d53-9a2f-2f4f0f1f7d11", "arrive": "8:10", "leave": "8:50",
    "site": 12, "fans": [31], "why": ["EF-1 walk-through"], "note": "",
}  # fmt: skip
SITE = {
    "id": 12, "owner": "Ostrelle", "name": "Cinder Bend", "address": "7 Cinder Lane",
    "time_zone": "America/Chicago", "latitude": 41.1, "longitude": -87.2,
    "access": ["Way up: 15 minutes; roof hatch in the corridor, ladder is there"],
    "contacts": [{"duty": "Owner", "name": "Ostrelle", "phone": "555-0142", "note": ""}],
    "plan": None,
    "systems": [{"id": 5, "name": "Line 1"}],
}  # fmt: skip
SITES = {
    "sites": [{"id": 12, "name": "Cinder Bend", "owner": "Ostrelle", "address": "7 Cinder Lane"}]
}
BOUNDS = [
    {"verdict": "within", "low": 0.0, "high": 4.5},
    {"verdict": "watch", "low": 4.5, "high": 7.1},
    {"verdict": "act", "low": 7.1, "high": 9.0},
    {"verdict": "stop", "low": 9.0, "high": None},
]
FAN = {
    "id": 31, "site": 12, "system": 5, "tag": "EF-1", "place": "north curb", "machine": 77,
    "motor": "three_phase", "control": "none", "belt": False,
    "plate": [["Volts", "208-230/460"]], "plate_fields": {"volts": "208-230/460"},
    "due": {
        "on": "2026-12-03", "overdue_after": "2026-12-17",
        "sentences": ["Last complete walk-through Fri 2 Oct 2026."],
    },
    "record": [{"id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0e07", "on": "2026-10-02",
                "kind": "Walk-through", "by": "Theo Brandt",
                "lines": ["As found: nothing above within."]}],
    "happened": [{"id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0c01",
                  "words": "Hood cleaning, Fri 6 Nov"}],
    "findings": [], "advice": [], "made_safe": None,
    "cautions": ["Never under a tipped fan held by a prop."],
    "look": ["motor_vents"], "read": ["vibration_motor_radial_mm_s"], "left_to_others": [],
    "fields": {
        "motor_vents": {},
        "vibration_motor_radial_mm_s": {
            "bounds": BOUNDS, "over": "cannot_judge", "context": {"vibration_detector": "rms"},
            "limit_words": "below 4.5 mm/s rms, watch from 4.5, act from 7.1, stop from 9",
            "basis": "ISO 14694:2003, Table 5", "siblings": "EF-2 2.8 mm/s rms",
        },
    },
    "derived": [], "context": {"vibration_detector": "rms"}, "causes": {}, "waiting": None,
    "thumbnails": [], "siblings": ["EF-2: 2.8 mm/s rms"],
}  # fmt: skip
ROUND: dict[str, Any] = {
    "format": 1, "made_at": "2026-11-26T06:00:00Z", "day": "2026-11-26",
    "time_zone": "America/Chicago", "person": PERSON,
    "stops": [STOP], "sites": [SITE], "fans": [FAN],
    "form": {"version": "6b1f1d0f2a7c9e44", "steps": [
        {"code": "arrive", "title": "Arrive", "cautions": [], "fields": []},
    ], "fields": {}},
    "terms": {"kinds": [["walk_through", "Walk-through"]]},
}  # fmt: skip
ONE_SITE = {**ROUND, "stops": []}
