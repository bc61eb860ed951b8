"""What a phone takes to a roof is in the language of who carries it, whole."""

from __future__ import annotations

from fleet.models import Person, Site
from tests.languages.spanish import english_in, listening, words_in
from tests.people import Roofs, signed_in
from tests.schedules.fans import walk

CODES = {"code", "kind", "states", "unit", "units", "role", "time_zone", "how", "qualifiers"}


def test_site_when_taken_by_who_speaks_spanish_then_all_of_it_is(
    roofs: Roofs, theo: Person
) -> None:
    Person.objects.filter(pk=theo.pk).update(language="es", qualified_energised_work=True)
    Site.objects.update(access_notes="escotilla")
    seen = {"guard": "off", "curb": "loose", "vibration_motor_radial_mm_s": 5.0}
    check = walk(roofs.bakery, "2026-06-01", {"guard": "stop", "curb": "act"}, **seen)
    check.visit.actions.create(fan=roofs.bakery, item="belt", kind="replaced")
    with listening() as missing:
        answer = signed_in(theo).get(f"/api/v1/round/sites/{roofs.bakery.site_id}")
    said = " ".join(words_in(answer.json()["fans"] + answer.json()["sites"], but=CODES))
    assert (answer.status_code, missing, english_in(said)) == (200, set(), set())
    assert "Guarda" in said
