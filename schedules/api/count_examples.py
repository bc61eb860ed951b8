"""Examples of failures counted over the fleet; a test holds each to what is true."""

from __future__ import annotations

from visits.api.examples import FAN

SITE = {"id": 12, "name": "Tannevale Cattle Market"}
COUNTED = {
    "id": 5, "by": "model", "model": "HX-24", "site": None, "item": "switch", "failures": 7,
    "positions": 4, "last_on": "2026-03-05", "stands_out": True,
    "figures": {
        "years": 61.2, "rate_lower": 0.046, "rate_upper": 0.236, "compared": 7, "others": 6,
        "others_years": 310.4, "ratio": 5.92, "lower": 1.71, "upper": 21.4, "chance": 0.0018,
        "discovery": 0.049, "shape": 1.2, "shape_lower": 0.56, "shape_upper": 2.6, "p": 0.41,
    },
    "as_of": "2026-03-10", "sentence": "HX-24, disconnecting switch: 7 failures on 4 fans.",
}  # fmt: skip
CURVE = {
    "fans": 150, "failures": 61, "as_of": "2026-03-10",
    "points": [
        {"years": 0.5, "watched": 150, "mean": 0.11, "lower": 0.07, "upper": 0.17},
        {"years": 1.4, "watched": 92, "mean": 0.36, "lower": 0.27, "upper": 0.48},
    ],
}  # fmt: skip
CREWS = {
    "as_of": "2026-03-10",
    "crews": [
        {
            "name": "Night crew", "tipped": 24, "told": 11, "worse": 1, "share": 0.0909,
            "lower": 0.0023, "upper": 0.4128,
            "steps": [
                {
                    "fan": FAN, "site": SITE, "cleaned_on": "2026-02-01",
                    "before_on": "2026-01-20", "after_on": "2026-02-05",
                    "subjects": {"hinge": "act"},
                },
            ],
        },
        {
            "name": "", "tipped": 2, "told": 0, "worse": 0, "share": None, "lower": 0.0,
            "upper": 1.0, "steps": [],
        },
    ],
}  # fmt: skip
