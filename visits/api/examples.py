"""Examples of what is told of the record, for the schema."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample

FAN = {"id": 41, "tag": "EF-1"}


def _judged(sentence: str, *basis: str, limit: float | None = None, **facts: Any) -> dict[str, Any]:
    """A judgement; its basis is standard, clause, edition and standing, or the standing alone."""
    *place, standing = basis
    standard, clause, edition = place or (standing, "", "")
    told = {"standard": standard, "clause": clause, "edition": edition, "standing": standing}
    named = ", ".join(filter(None, place))
    told["sentence"] = f"{named} ({standing})" if named else standing
    told_of = {"item": facts["subject"], "quantity": facts["subject"], "unit": "", "arguments": {},
               **facts, "limit": limit, "sentence": sentence, "basis": told}  # fmt: skip
    order = ("subject", "item", "quantity", "code", "verdict", "value", "unit", "limit", "sentence",
             "basis", "arguments")  # fmt: skip
    return {name: told_of[name] for name in order}


JUDGEMENT = _judged(
    "The hinge is broken: do not tip this fan.", "NFPA 96", "8.1.1.1", "2021", "confirmed",
    subject="hinge", code="hinge.broken", verdict="stop", value="broken",
)  # fmt: skip
RUNNING = _judged(
    "Running: runs.", "our choice",
    subject="running", item="motor", code="running.runs", verdict="within", value="runs",
)  # fmt: skip
VIBRATION = _judged(
    "Vibration (motor, radial): 0.19 in/s peak, below 0.3 in/s (BV-2, rigid mounting).",
    "ISO 14694", "Table 5", "2003", "from memory",
    subject="vibration", item="wheel", quantity="vibration_motor_radial_mm_s",
    code="vibration.within", verdict="within", value=0.19, unit="in/s", limit=0.3,
    arguments={"start": 0.3, "alarm": 0.5, "stop": 0.625, "detector": "peak", "category": "BV-2",
               "mounting": "rigid"},
)  # fmt: skip
GREASE = _judged(
    "Grease in the duct: 400 µm; the limit is 2000 µm, watched from 1500 µm.",
    "NFPA 96", "12.6.1.1.3", "2021", "confirmed",
    subject="grease", item="duct", quantity="grease_duct_high_um", code="grease.within",
    verdict="within", value=400.0, unit="um", limit=1500.0,
    arguments={"place": "duct", "limit_um": 2000.0},
)  # fmt: skip
VOLTS = _judged(
    "231, 229, 222 V lie within 187.2 V to 253 V.", "NEMA MG-1", "12.44.1", "", "confirmed",
    subject="volts", item="supply", quantity="volts_ab_v", code="volts.within", verdict="within",
    value=231.0, unit="V", limit=187.2,
    arguments={"volts": [231.0, 229.0, 222.0], "low": 187.2, "high": 253.0, "suggested": False},
)  # fmt: skip
UNBALANCE = _judged(
    "Volts unbalance 2.35 %, above 2 %, about 11 % more heat, good for 0.94 of its power only: "
    "find the cause.", "NEMA MG-1", "14.36", "", "confirmed",
    subject="volts_unbalance", item="supply", quantity="volts_ca_v", code="volts_unbalance.high",
    verdict="act", value=2.34604105572, unit="%", limit=2.0,
    arguments={"values": [231.0, 229.0, 222.0], "mean": 227.333333333,
               "derating": 0.936158357771, "extra_heat_percent": 11.0078172702},
)  # fmt: skip
CHECK = {
    "fan": FAN, "stage": "as_found", "worst": "stop",
    "judgements": [VIBRATION, GREASE, RUNNING, JUDGEMENT],
    "left_out": [
        "noise", "motor_vents", "corrosion", "catch", "cable", "switch_cover", "wheel",
        "grease_box", "guard", "curb", "belt", "sheaves", "bearings",
    ],
    "left_out_sentence": "Not a complete walk-through; left open: noise, motor vents, corrosion of "
    "motor and housing, hold-open catch, flexible cable, switch cover, conduit, wheel, grease box, "
    "guard, curb, belt, sheaves, bearings. It counts as one once a single check answers the whole "
    "list.",
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
                {"quantity": "grease_duct_high_um", "value": 400.0, "unit": "um",
                 "typed": {"value": 400.0, "unit": "um"}},
            ],
            "context": {"vibration_detector": "peak", "vibration_meter": "overall"},
            "lasting": [], "recheck_days": {}, "switch_left": "", "notes": "",
        }
    ],
    "findings": [], "actions": [], "recommendations": [], "decisions": [], "not_reached": [],
    "made_safe": [], "inspections": [], "plates": [], "cautions": [],
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
