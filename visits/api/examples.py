"""Examples of what is told of the record, for the schema."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample

FAN = {"id": 41, "tag": "EF-1"}
JUDGEMENT = {
    "subject": "hinge", "item": "hinge", "quantity": "hinge", "code": "hinge.broken",
    "verdict": "stop", "value": "broken", "unit": "", "limit": None,
    "sentence": "The hinge is broken: do not tip this fan.",
    "basis": {
        "standard": "NFPA 96", "clause": "8.1.1.1", "edition": "2021", "standing": "confirmed",
        "sentence": "NFPA 96, 8.1.1.1, 2021 (confirmed)",
    },
    "arguments": {},
}  # fmt: skip
CHECK = {
    "fan": FAN, "stage": "as_found", "worst": "stop", "judgements": [JUDGEMENT],
    "left_out": ["noise"],
    "left_out_sentence": "Not a complete walk-through; left open: noise. It counts as one once a "
    "single check answers the whole list.",
}  # fmt: skip
LINE = {
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a01", "kind": "walk_through",
    "began_at": "2026-03-02T15:10:00Z", "ended_at": None, "local_on": "2026-03-02",
    "local_minute": 550, "here": True, "notes": "", "correction_reason": "",
    "received_at": "2026-03-02T15:14:03Z", "site": {"id": 12, "name": "Tannevale Cattle Market"},
    "technician": "Ruta Vennick", "supersedes": None, "superseded_by": None,
}  # fmt: skip
WHOLE = {
    **LINE, "recorded_by": "Ruta Vennick", "corrections": [],
    "checks": [
        {
            **CHECK, "machine": 64, "seen": {"running": "runs", "hinge": "broken"},
            "readings": [
                {"quantity": "vibration_motor_radial_mm_s", "value": 4.826, "unit": "mm/s",
                 "typed": {"value": 0.19, "unit": "in/s"}},
            ],
            "context": {"vibration_detector": "peak", "vibration_meter": "overall"},
            "lasting": [], "recheck_days": {}, "switch_left": "", "notes": "",
        }
    ],
    "findings": [], "actions": [], "recommendations": [], "decisions": [], "not_reached": [],
    "made_safe": [], "inspections": [], "cautions": [],
}  # fmt: skip
CLEANED = {
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0c01", "kind": "hood_cleaning",
    "started_on": "2026-03-05", "started_minute": 1410, "ended_on": "2026-03-06",
    "ended_minute": 220, "crew": "", "places_cleaned": ["hood", "duct"], "places_not_cleaned": [],
    "wheel_cleaned": False, "resets": None, "running_on": None, "note": "",
    "correction_reason": "", "received_at": "2026-03-06T14:00:00Z",
    "site": {"id": 12, "name": "Tannevale Cattle Market"}, "system": None, "fan": None,
    "tipped": [FAN],
    "recorded_by": "Ruta Vennick", "supersedes": None, "superseded_by": None,
}  # fmt: skip

ADDRESS = "https://roofs.example/api/v1/photos/5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0e77"
PHOTO = {
    "id": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0e77", "visit": LINE["id"], "site": LINE["site"],
    "fan": FAN, "finding": None, "subject": "hinge", "caption": "north pin sheared",
    "taken_at": "2026-03-02T15:12:00Z", "recorded_by": "Ruta Vennick",
    "received_at": "2026-03-02T18:40:11Z", "width": 2048, "height": 1536, "bytes": 412880,
    "image": f"{ADDRESS}/image", "thumbnail": f"{ADDRESS}/thumbnail", "withdrawn": None,
}  # fmt: skip
REASON = "This is the neighbour's roof."
WITHDRAWN = {
    **PHOTO,
    "withdrawn": {"at": "2026-03-03T14:02:00Z", "by": "Dana Reyes", "reason": REASON},
}


def sent(name: str, body: Any) -> OpenApiExample:
    """A body that is sent."""
    return OpenApiExample(name, body, request_only=True)


def told(name: str, body: Any, status: int = 200) -> OpenApiExample:
    """A body that is answered."""
    return OpenApiExample(name, body, response_only=True, status_codes=[str(status)])
