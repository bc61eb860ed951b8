"""Long lists to pick from: what is likely at this fan first, then the alphabet of the language."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from fleet.failure_terms import CAUSES, FAILURE_MODES, MECHANISMS
from fleet.models import Fan, Person
from fleet.quantities import SEEN
from schedules.phone.likely import tell_likely
from tests.phone.walks import begin, go, open_label
from visits.payload.names import ITEMS, SUBJECTS

browser = pytest.mark.browser
pytestmark = [pytest.mark.once, pytest.mark.django_db(transaction=True)]
GROUPS = """(select) => [...select.querySelectorAll("optgroup")].map((group) =>
    [group.label, [...group.children].map((option) => option.value),
     [...group.children].map((option) => option.text)])"""


def groups_of(select: Locator) -> dict[str, tuple[list[str], list[str]]]:
    """Codes and words by the group they stand in."""
    return {label: (codes, texts) for label, codes, texts in select.evaluate(GROUPS)}


@browser
def test_finding_when_something_was_found_then_it_and_what_goes_with_it_come_first(
    phone: Page, fan: Fan
) -> None:
    fan.machines.update(drive="direct")
    open_label(phone, fan)
    begin(phone)
    phone.locator("[data-field=grease_box] [data-code=full]").click()
    phone.locator("[data-field=hinge] [data-code=broken]").click()
    go(phone, fan, "tell")
    phone.get_by_role("button", name="Add a finding").click()
    finding = phone.locator("fieldset.finding")
    what = groups_of(finding.get_by_label("What", exact=True))
    assert what["Likely here"][0] == ["hinge", "grease_box"]
    others = what["All others"][1]
    assert others == sorted(others, key=str.casefold)
    belt_drives = {"belt", "sheaves", "belt_deflection", "sheave_wear"}
    assert belt_drives & {*what["All others"][0]} == set()
    assert belt_drives <= {*what["Hardly at a fan like this"][0]}
    assert "bearings" in what["All others"][0]  # those of the motor
    finding.get_by_label("What", exact=True).select_option("hinge")
    mode = groups_of(finding.get_by_label("How it fails"))
    assert mode["Likely here"][0] == ["STD", "BRD"]
    mechanism = groups_of(finding.get_by_label("What happened to it"))["Likely here"][0]
    assert mechanism[:2] == ["breakage", "fatigue"]
    cause = groups_of(finding.get_by_label("Cause"))["Likely here"][0]
    assert cause == ["rough_handling", "corrosion", "wear"]
    finding.get_by_label("How it fails").select_option("BRD")
    finding.get_by_label("What", exact=True).select_option("grease_box")
    expect(finding.get_by_label("How it fails")).to_have_value("BRD")
    assert groups_of(finding.get_by_label("How it fails"))["Likely here"][0] == ["PLU", "ELP"]
    phone.get_by_role("button", name="Add work").click()
    on_what = groups_of(phone.get_by_label("On", exact=True))
    assert on_what["Likely here"][0] == ["grease_box", "hinge"]


@browser
def test_list_when_shown_in_spanish_then_in_its_alphabet_and_what_fits_nothing_else_last(
    phone: Page, fan: Fan, theo: Person
) -> None:
    Person.objects.filter(pk=theo.pk).update(language="es")
    open_label(phone, fan)
    phone.get_by_role("button", name="Empezar").click()
    expect(phone.locator(".steps [aria-current]")).to_have_text("Revisar")
    go(phone, fan, "tell")
    phone.get_by_role("button", name="Agregar un hallazgo").click()
    mode = phone.locator("fieldset.finding").get_by_label("Cómo falla")
    told = mode.evaluate("(select) => [...select.options].slice(1).map((each) => each.value)")
    texts = mode.evaluate("(select) => [...select.options].slice(1).map((each) => each.text)")
    assert told[-2:] == ["OTH", "UNK"]
    plain = [text.casefold().translate(str.maketrans("áéíóúü", "aeiouu")) for text in texts[:-2]]
    assert plain == sorted(plain)


def test_likely_when_told_then_only_terms_and_answers_that_lists_have() -> None:
    told = tell_likely()
    assert {code for codes in told["failure_modes"].values() for code in codes} <= {*FAILURE_MODES}
    assert {code for codes in told["causes"].values() for code in codes} <= {*CAUSES}
    mechanisms = {*MECHANISMS} - {"unknown"}
    for name in ("mechanisms", "seen"):
        assert {code for codes in told[name].values() for code in codes} <= mechanisms
    states = {state.code: state.verdict for each in SEEN for state in each.states}
    assert told["seen"].keys() <= states.keys()
    assert told["failure_modes"].keys() >= ITEMS
    assert told["failure_modes"].keys() <= ITEMS | SUBJECTS


def test_likely_when_an_answer_is_not_as_it_should_be_then_it_suggests_what_happened() -> None:
    """Whether a thing runs, works or follows says nothing of what happened to it."""
    silent = {"dead", "new", "does_not_follow", "fails", "doubtful", "none", "off", "defeatable",
              "defeated"}  # fmt: skip
    bad = {
        state.code
        for each in SEEN
        for state in each.states
        if state.verdict in ("watch", "act", "stop")
    }
    assert bad - silent == {*tell_likely()["seen"]} & bad
    assert not silent & {*tell_likely()["seen"]}
