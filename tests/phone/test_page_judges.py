"""The page's own script, run in a browser, gives the verdicts that judging gives."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from playwright.sync_api import Page

from fleet.plates import Feed, Plate
from fleet.quantities import QUANTITIES
from schedules.phone.bounds import is_asked
from schedules.phone.form import OFFERED, tell_form
from schedules.phone.limits import tell_derived, tell_reading
from tests.phone.test_bounds import READINGS, SAID, WAYS, edges, qualifiers, worst
from visits.limits import Context, Reading, judge
from visits.limits.case import LINES

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PLATE: dict[str, Any] = {
    "volts": "208-230/460",
    "full_load_amps": "3.3-3.2/1.6",
    "service_factor": 1.15,
}
MOTORS = [
    (Plate(motor_type="three_phase", power_hp=1.0, drive="belt", **PLATE),
     Feed(connected_volts="208-230", connected_confirmed=True)),
    (Plate(motor_type="psc", volts="115", full_load_amps="7.2", power_hp=0.5, capacitor_uf=10.0,
           service_factor=1.4, drive="direct"), Feed()),
    (Plate(motor_type="three_phase", power_hp=7.5, mounting="flexible", drive="direct", **PLATE),
     Feed(control="drive", drive_input_volts=208.0, connected_volts="460")),
    (Plate(motor_type="three_phase", power_hp=1.0, drive="belt", **PLATE), Feed()),
    (Plate(), Feed()),
]  # fmt: skip
ONE_OF_EACH = list({(q.rule, "low" in q.name): q for q in READINGS}.values())
"""Lines, legs, points and places are judged alike."""
JUDGE = """async ([form, cases]) => {
  const { judged, derive } = await import("/static/schedules/phone/judge.js");
  return cases.map(({ known, name, reading, draft, several }) => several
    ? derive(several, form, draft, {})?.verdict ?? ""
    : judged(known, form.fields[name], reading, draft, form));
}"""


def cases(motor: tuple[Plate, Feed]) -> list[tuple[dict[str, Any], str]]:
    """What is typed at a fan, and what judging makes of it."""
    found = []
    for quantity in ONE_OF_EACH:
        if not is_asked(quantity.name, *motor):
            continue
        known = tell_reading(quantity.name, *motor, {})
        said_name, choices = SAID.get(quantity.rule, ("", [""]))
        units = dict.fromkeys((quantity.unit, *quantity.accepted))
        for unit, choice, value in product(units, choices, edges(known)):
            said = {said_name: choice} if said_name and choice else {}
            for qualifier in qualifiers(quantity, value):
                reading = {"text": repr(value), "unit": unit, "qualifier": qualifier}
                if "e" in reading["text"]:
                    continue  # nobody types powers of ten
                draft = {"context": said, "readings": {quantity.name: reading}}
                sent = {"known": known, "name": quantity.name, "reading": reading, "draft": draft}
                typed = {quantity.name: Reading(value, unit, qualifier)}
                found.append((sent, worst(typed, quantity.name, motor, **said)))
    return found + together(motor) + bounded(motor) + by_lines(motor) + by_leads(motor)


def by_lines(motor: tuple[Plate, Feed]) -> list[tuple[dict[str, Any], str]]:
    """Current beside all lines that are asked for."""
    lines = [name for name in LINES if is_asked(name, *motor)]
    known, found = tell_reading("amps_a_a", *motor, {}), []
    said = {"amps_place": "drive_output"} if motor[1].control == "drive" else {}
    volts = (187.0, 208.0, 219.0, 240.0, 115.0, 120.75, 325.0, 460.0)
    for volt, some, value in product(volts, (1, 3), edges(known)):
        reading = {"text": repr(value), "unit": "A"}
        typed = {name: {"text": str(volt), "unit": "V"} for name in lines[:some]}
        draft = {"context": said, "readings": {**typed, "amps_a_a": reading}}
        told = {**dict.fromkeys(lines[:some], volt), "amps_a_a": value}
        sent = {"known": known, "name": "amps_a_a", "reading": reading, "draft": draft}
        if "e" not in reading["text"]:
            found.append((sent, worst(told, "amps_a_a", motor, **said)))
    return found


def by_leads(motor: tuple[Plate, Feed]) -> list[tuple[dict[str, Any], str]]:
    """Poles by a multimeter whose leads were read too."""
    known, found = tell_reading("pole_1_ohm", *motor, {}), []
    said = {"pole_meter": "multimeter"}
    for lead, value, sign in product(
        (0.0, 0.2, 3.0), (0.1, 0.5, 0.55, 0.7, 0.75, 4), ("", "<", ">")
    ):
        reading = {"text": str(value), "unit": "ohm", "qualifier": sign}
        leads = {"text": str(lead), "unit": "ohm"}
        draft = {"context": said, "readings": {"pole_1_ohm": reading, "lead_zero_ohm": leads}}
        told = {"pole_1_ohm": Reading(value, "", sign), "lead_zero_ohm": lead}
        sent = {"known": known, "name": "pole_1_ohm", "reading": reading, "draft": draft}
        found.append((sent, worst(told, "pole_1_ohm", motor, **said)))
    return found


def together(motor: tuple[Plate, Feed]) -> list[tuple[dict[str, Any], str]]:
    """The same of several readings."""
    found = []
    for told in tell_derived(*motor, [name for name in OFFERED if is_asked(name, *motor)]):
        for values in WAYS[told["code"]]:
            readings = dict(zip(told["fields"], values, strict=True))
            context = {
                name: said for name, said in told.get("when", {}).items() if name != "running"
            }
            typed = {name: {"text": str(value), "unit": QUANTITIES[name].unit}
                     for name, value in readings.items()}  # fmt: skip
            for seen in ({}, {"running": "runs"}, {"running": "dead"}):
                draft = {"context": context, "readings": typed, "seen": seen}
                judged = judge({**readings, **seen}, plate=motor[0], feed=motor[1],
                               context=Context(**context))  # fmt: skip
                own = [each.verdict for each in judged if each.subject == told["code"]]
                found.append(({"several": told, "draft": draft}, [*own, "cannot_judge"][0]))
    return found


def bounded(motor: tuple[Plate, Feed]) -> list[tuple[dict[str, Any], str]]:
    """The same where of one or of all it is only known above or below what it lies."""
    found = []
    for told in tell_derived(*motor, [name for name in OFFERED if is_asked(name, *motor)]):
        fields, said = told["fields"], dict(told.get("when", {}))
        said.pop("running", None)
        signs = [marks for marks in product(*map(signs_of, fields)) if any(marks)]
        for values, marks in product(WAYS[told["code"]], signs):
            read = list(zip(fields, values, marks, strict=True))
            if any(sign == "<" and not value for _, value, sign in read):
                continue  # below nothing lies nothing
            readings = {name: Reading(value, "", sign) for name, value, sign in read}
            typed = {name: {"text": str(value), "unit": QUANTITIES[name].unit, "qualifier": sign}
                     for name, value, sign in read}  # fmt: skip
            judged = judge(readings, plate=motor[0], feed=motor[1], context=Context(**said))
            own = [each.verdict for each in judged if each.subject == told["code"]]
            draft = {"context": said, "readings": typed}
            found.append(({"several": told, "draft": draft}, [*own, "cannot_judge"][0]))
    return found


def signs_of(name: str) -> list[str]:
    """Those that can stand before this figure."""
    return [each for each in QUANTITIES[name].qualifiers if each != "over"]


def test_script_when_a_figure_is_typed_then_the_verdict_of_judging(page: Page) -> None:
    page.goto("/login/")
    form = {"fields": tell_form()["fields"], "nearly": tell_form()["nearly"]}
    for motor in MOTORS:
        wanted = cases(motor)
        said = page.evaluate(JUDGE, [form, [sent for sent, _ in wanted]])
        wrong = [
            (each["reading"] if "reading" in each else each["draft"], verdict, told)
            for (each, verdict), told in zip(wanted, said, strict=True)
            if (told or "cannot_judge") != verdict
        ]
        assert wrong == []
