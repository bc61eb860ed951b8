"""What people do to the register by hand."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from fleet.models import (
    Agreement,
    CookingPeriod,
    ExhaustSystem,
    ExpectedCleaning,
    Fan,
    Feed,
    Machine,
    OperatingPeriod,
    Owner,
    Person,
    Site,
)
from fleet.opening import parse_opening
from fleet.services.errors import RegisterError
from fleet.services.fans import enter_fan
from fleet.services.feeds import change_feed
from fleet.services.machines import correct_plate, replace_machine
from fleet.services.onboarding import Standing, reorder_onboarding, spread
from fleet.services.owners import change_agreement
from fleet.services.sites import edit_site
from fleet.services.systems import (
    announce_cleaning,
    call_off_cleaning,
    change_cooking,
    change_hours,
    close_days,
)
from schedules.models import DueState

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)
DAY = date(2026, 3, 2)
TOLD: dict[str, Any] = {"by": None, "now": NOW}


@pytest.fixture
def system() -> ExhaustSystem:
    owner = Owner.objects.create(name="Ashdown Kitchens")
    site = Site.objects.create(owner=owner, name="Mill Lane", time_zone="America/Chicago")
    return ExhaustSystem.objects.create(site=site, name="Main line")


@pytest.fixture
def fan(system: ExhaustSystem) -> Fan:
    return enter_fan(
        system=system, tag="EF-1", entered_on=DAY, installed_on=date(2020, 1, 1),
        plate={"serial": "A1", "volts": "230/460"}, feed={"panel": "RP-2"}, **TOLD,
    )  # fmt: skip


def machines(fan: Fan) -> list[tuple[str, date | None, date | None, bool]]:
    told = fan.machines.values_list("serial", "installed_on", "removed_on", "first_here")
    return list(told)


def revision(fan: Fan) -> int:
    return DueState.objects.get(fan=fan).revision


def test_fan_entered_by_hand_then_has_no_onboarding_day(fan: Fan) -> None:
    assert fan.onboarding_on is None


def test_fan_entered_then_machine_and_feed_are_there(fan: Fan) -> None:
    stored = (Machine.objects.get(fan=fan).volts, Feed.objects.get(fan=fan).panel)
    assert stored == ("230/460", "RP-2")


def test_fan_entered_with_a_taken_tag_then_refused(fan: Fan) -> None:
    with pytest.raises(RegisterError, match="on record already"):
        enter_fan(system=fan.system, tag="EF-1", entered_on=DAY, **TOLD)


def test_machine_replaced_then_the_old_one_ends_that_day(fan: Fan) -> None:
    replace_machine(fan=fan, installed_on=DAY, plate={"serial": "B7"}, **TOLD)
    assert machines(fan) == [("A1", date(2020, 1, 1), DAY, True), ("B7", DAY, None, False)]


def test_machine_replaced_further_back_then_fitted_in_between(fan: Fan) -> None:
    replace_machine(fan=fan, installed_on=DAY, plate={"serial": "C9"}, **TOLD)
    between = date(2023, 5, 1)
    replace_machine(fan=fan, installed_on=between, plate={"serial": "B7"}, **TOLD)
    assert machines(fan) == [
        ("A1", date(2020, 1, 1), between, True),
        ("B7", between, DAY, False),
        ("C9", DAY, None, False),
    ]


def test_machine_replaced_twice_on_one_day_then_corrected(fan: Fan) -> None:
    replace_machine(fan=fan, installed_on=DAY, plate={"serial": "B7"}, **TOLD)
    replace_machine(fan=fan, installed_on=DAY, plate={"serial": "B8"}, **TOLD)
    assert [row[0] for row in machines(fan)] == ["A1", "B8"]


def test_machine_with_a_field_no_plate_has_then_refused_and_unchanged(fan: Fan) -> None:
    with pytest.raises(RegisterError, match="no colour"):
        replace_machine(fan=fan, installed_on=DAY, plate={"colour": "red"}, **TOLD)
    assert machines(fan) == [("A1", date(2020, 1, 1), None, True)]


def test_machine_with_impossible_value_then_refused_and_unchanged(fan: Fan) -> None:
    with pytest.raises(RegisterError, match="drive"):
        replace_machine(fan=fan, installed_on=DAY, plate={"drive": "chain"}, **TOLD)
    assert machines(fan) == [("A1", date(2020, 1, 1), None, True)]


def test_plate_corrected_then_history_keeps_the_old_reading(fan: Fan) -> None:
    correct_plate(machine=fan.machines.get(), plate={"serial": "A7"}, **TOLD)
    serials = Machine.history.order_by("history_id").values_list("serial", flat=True)
    assert list(serials) == ["A1", "A7"]


def test_plate_part_read_at_last_then_no_longer_unreadable(fan: Fan) -> None:
    machine = correct_plate(machine=fan.machines.get(), plate={"unreadable": ["volts"]}, **TOLD)
    assert correct_plate(machine=machine, plate={"volts": "460"}, **TOLD).unreadable == []


def test_plate_corrected_to_what_it_was_then_no_history(fan: Fan) -> None:
    correct_plate(machine=fan.machines.get(), plate={"serial": "A1"}, **TOLD)
    assert Machine.history.count() == 1


def test_feed_changed_then_the_rest_carries_on(fan: Fan) -> None:
    change_feed(fan=fan, valid_from=DAY, feed={"control": "drive"}, **TOLD)
    told = fan.feeds.values_list("valid_from", "panel", "control")
    assert list(told) == [(None, "RP-2", "none"), (DAY, "RP-2", "drive")]


def test_feed_changed_again_the_same_day_then_corrected(fan: Fan) -> None:
    for panel in ("RP-3", "RP-4"):
        change_feed(fan=fan, valid_from=DAY, feed={"panel": panel}, **TOLD)
    assert list(fan.feeds.values_list("panel", flat=True)) == ["RP-2", "RP-4"]


def test_feed_with_four_poles_then_refused(fan: Fan) -> None:
    with pytest.raises(RegisterError, match="feed_poles_1_to_3"):
        change_feed(fan=fan, valid_from=DAY, feed={"poles": 4}, **TOLD)


def test_cooking_changed_then_in_the_order_of_strictness(system: ExhaustSystem) -> None:
    change_cooking(system=system, classes={"low", "solid_fuel"}, valid_from=DAY, **TOLD)
    assert CookingPeriod.objects.get().classes == ["solid_fuel", "low"]


@pytest.mark.parametrize("classes", [[], ["spicy"], ["high", "spicy"]])
def test_cooking_nobody_knows_then_refused(system: ExhaustSystem, classes: list[str]) -> None:
    with pytest.raises(RegisterError, match="cooking classes"):
        change_cooking(system=system, classes=classes, valid_from=DAY, **TOLD)


def test_hours_changed_then_stored_and_every_fan_of_the_system_touched(fan: Fan) -> None:
    before = revision(fan)
    change_hours(system=fan.system, hours=parse_opening("always"), valid_from=DAY, **TOLD)
    assert (OperatingPeriod.objects.get().always, revision(fan) > before) == (True, True)


def test_days_closed_twice_then_only_new_ones_count(system: ExhaustSystem) -> None:
    close_days(system=system, days=[DAY], **TOLD)
    assert close_days(system=system, days=[DAY, DAY + timedelta(days=1)], **TOLD) == 1


def test_cleaning_announced_again_then_the_crew_changes(system: ExhaustSystem) -> None:
    announce_cleaning(system=system, day=DAY, crew="crew A", **TOLD)
    announce_cleaning(system=system, day=DAY, crew="crew B", **TOLD)
    assert ExpectedCleaning.objects.get().crew == "crew B"


def test_cleaning_called_off_then_gone(system: ExhaustSystem) -> None:
    announce_cleaning(system=system, day=DAY, **TOLD)
    call_off_cleaning(system=system, day=DAY, **TOLD)
    assert ExpectedCleaning.objects.count() == 0


def test_cleaning_called_off_that_nobody_expects_then_refused(system: ExhaustSystem) -> None:
    with pytest.raises(RegisterError, match="expected are: none"):
        call_off_cleaning(system=system, day=DAY, **TOLD)


def test_site_moved_to_another_zone_then_its_fans_are_touched(fan: Fan) -> None:
    before = revision(fan)
    site = edit_site(site=fan.site, facts={"time_zone": "America/Denver"}, **TOLD)
    assert (site.time_zone, revision(fan) > before) == ("America/Denver", True)


def test_site_moved_to_a_zone_nobody_knows_then_refused(system: ExhaustSystem) -> None:
    with pytest.raises(RegisterError, match="not a time zone"):
        edit_site(site=system.site, facts={"time_zone": "Middle/Earth"}, **TOLD)


def test_agreement_followed_by_another_then_ends_the_day_before(system: ExhaustSystem) -> None:
    owner = system.site.owner
    change_agreement(owner=owner, starts_on=date(2025, 1, 1), terms={"visits_per_year": 4}, **TOLD)
    change_agreement(owner=owner, starts_on=DAY, terms={"reliability": "high"}, **TOLD)
    told = Agreement.objects.values_list("starts_on", "ends_on", "reliability")
    assert list(told) == [
        (date(2025, 1, 1), DAY - timedelta(days=1), "medium"), (DAY, None, "high"),
    ]  # fmt: skip


def test_agreements_told_late_then_each_ends_the_day_before_the_next(
    system: ExhaustSystem,
) -> None:
    for month in (1, 6, 3, 2):
        change_agreement(owner=system.site.owner, starts_on=date(2026, month, 1), terms={}, **TOLD)
    assert list(Agreement.objects.values_list("starts_on", "ends_on").order_by("starts_on")) == [
        (date(2026, 1, 1), date(2026, 1, 31)), (date(2026, 2, 1), date(2026, 2, 28)),
        (date(2026, 3, 1), date(2026, 5, 31)), (date(2026, 6, 1), None),
    ]  # fmt: skip


def test_agreement_told_late_with_an_end_past_the_next_start_then_refused(
    system: ExhaustSystem,
) -> None:
    owner = system.site.owner
    change_agreement(owner=owner, starts_on=date(2026, 6, 1), terms={}, **TOLD)
    terms = {"ends_on": date(2026, 6, 1)}
    with pytest.raises(RegisterError, match="begins on 2026-06-01; end this by 2026-05-31"):
        change_agreement(owner=owner, starts_on=date(2026, 3, 1), terms=terms, **TOLD)
    change_agreement(
        owner=owner, starts_on=date(2026, 3, 1), terms={"ends_on": date(2026, 4, 30)}, **TOLD
    )
    assert Agreement.objects.get(starts_on=date(2026, 3, 1)).ends_on == date(2026, 4, 30)


@pytest.mark.parametrize("terms", [{"price": 3}, {"reliability": "total"}, {"visits_per_year": 0}])
def test_agreement_that_cannot_be_then_refused(
    system: ExhaustSystem, terms: dict[str, Any]
) -> None:
    with pytest.raises(RegisterError):
        change_agreement(owner=system.site.owner, starts_on=DAY, terms=terms, **TOLD)


def test_service_then_history_tells_who(fan: Fan, django_user_model: type[Person]) -> None:
    dana = django_user_model.objects.create(username="dana", role="dispatcher")
    correct_plate(machine=fan.machines.get(), plate={"serial": "A7"}, by=dana, now=NOW)
    told = Machine.history.latest("history_id")
    assert (told.history_user, told.history_date) == (dana, NOW)


@pytest.fixture
def fans(fan: Fan) -> list[Fan]:
    """Four fans, first visits a week apart in the order of their tags."""
    more = [enter_fan(system=fan.system, tag=tag, entered_on=DAY, **TOLD) for tag in "BCD"]
    for week, each in enumerate([fan, *more]):
        each.onboarding_on = DAY + timedelta(weeks=week)
        each.save()
    return [fan, *more]


def reorder(fans: list[Fan], *ranks: tuple[int, int]) -> list[str]:
    """The tags in the order of their days, after fans of these ranks were ordered."""
    standings = [Standing(f.pk, *rank) for f, rank in zip(fans, ranks, strict=True)]
    reorder_onboarding(fans=standings, now=NOW)
    return list(Fan.objects.order_by("onboarding_on").values_list("tag", flat=True))


def test_onboarding_order_then_worst_verdict_comes_first_then_days_overdue(
    fans: list[Fan],
) -> None:
    assert reorder(fans, (0, 90), (3, 0), (0, 5), (3, 40)) == ["D", "B", "EF-1", "C"]


def test_onboarding_order_then_the_same_days_are_given(fans: list[Fan]) -> None:
    reorder(fans, (0, 0), (0, 0), (0, 0), (3, 0))
    days = Fan.objects.order_by("onboarding_on").values_list("onboarding_on", flat=True)
    assert list(days) == [DAY + timedelta(weeks=n) for n in range(4)]


def test_onboarding_order_again_then_nothing_is_written(fans: list[Fan]) -> None:
    for _ in range(2):
        reorder(fans, (0, 9), (0, 8), (3, 0), (0, 7))
    # C first, the next two a week later, the last as before
    assert Fan.history.filter(history_change_reason="onboarding spread").count() == 3


def test_onboarding_order_of_equals_then_does_not_depend_on_order_told(fans: list[Fan]) -> None:
    equal = [(0, 0)] * 4
    assert reorder(fans, *equal) == reorder(fans[::-1], *equal)


def test_spread_over_no_weeks_then_refused() -> None:
    with pytest.raises(ValueError, match="at least one week"):
        spread(3, 0, DAY)


@pytest.mark.parametrize("text", ["a\0b", "\ud800", "EF\u200b1", "x\u202ey", "\x07"])
def test_text_with_a_character_no_database_takes_then_refused_by_its_field(
    fan: Fan, text: str
) -> None:
    with pytest.raises(RegisterError) as error:
        correct_plate(machine=fan.machines.get(), plate={"wheel": text}, **TOLD)
    assert list(error.value.faults) == ["wheel"]
    with pytest.raises(RegisterError):
        edit_site(site=fan.site, facts={"access_notes": text}, **TOLD)
