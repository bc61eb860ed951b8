"""A fleet file as a whole: stored, repeated, changed, refused."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db.models import Model

from fleet.imports.applying import PARENTS_FIRST
from fleet.models import (
    CookingPeriod,
    ExpectedCleaning,
    Fan,
    Feed,
    Machine,
    OperatingPeriod,
    Person,
)
from fleet.signals import fans_touched
from fleet.wording import note_sentences
from tests.fleet.sheets import FULL, NOW, PLAIN, bring, csv_file, row_counts

pytestmark = pytest.mark.django_db
NEXT_DAY = NOW + timedelta(days=1)


def changes_of(data: bytes, **options: Any) -> list[tuple[str, str, str]]:
    return [(c.column, c.old, c.new) for c in bring(data, **options).changes]


def fields_of(model: type[Model], *names: str) -> dict[str, Any]:
    (row,) = model._default_manager.values(*names)
    return dict(row)


def test_example_then_every_kind_of_row_is_added(root: Path) -> None:
    report = bring((root / "fixtures/examples/fleet.csv").read_bytes())
    assert report.added == {
        "owner": 3, "agreement": 3, "site": 4, "exhaustsystem": 7, "cookingperiod": 7,
        "operatingperiod": 7, "closedday": 3, "expectedcleaning": 3, "fan": 9, "machine": 9,
        "feed": 9,
    }  # fmt: skip


def test_example_as_workbook_then_the_same_as_the_csv(root: Path) -> None:
    bring((root / "fixtures/examples/fleet.csv").read_bytes())
    assert bring((root / "fixtures/examples/fleet.xlsx").read_bytes()).changes_nothing


def test_same_file_again_then_changes_nothing_and_says_so() -> None:
    bring(csv_file(FULL))
    before = row_counts()
    report = bring(csv_file(FULL), now=NEXT_DAY)
    assert (report.changes_nothing, row_counts()) == (True, before)


def test_plate_then_stored_as_printed_and_in_our_units() -> None:
    bring(csv_file(FULL | {"Power (hp)": "0.75 kW", "Bore (in)": "1", "Ambient": "104 F"}))
    machine = Machine.objects.get()
    # NIST SP 811: 1 hp = 0.7456999 kW
    assert (machine.volts, machine.full_load_amps) == ("208-230/460", "3.3-3.2/1.6")
    assert (machine.power_hp, machine.bore_mm, machine.ambient_c) == pytest.approx(
        (0.75 / 0.7456999, 25.4, 40.0)
    )


def test_curb_and_rotation_then_stored_as_a_supplier_asks_for_them() -> None:
    bring(csv_file(FULL | {"Curb": "26 in square", "Wheel rotation": "CCW"}))
    told = fields_of(Fan, "curb_size", "rotation")
    assert told == {"curb_size": "26 in square", "rotation": "counterclockwise"}


def test_unreadable_cell_then_named_and_empty() -> None:
    bring(csv_file(FULL | {"Volts": "?", "Serial": "unreadable"}))
    stored = fields_of(Machine, "volts", "serial", "unreadable")
    assert stored == {"volts": "", "serial": "", "unreadable": ["serial", "volts"]}


def test_unreadable_cell_read_later_then_no_longer_named() -> None:
    bring(csv_file(FULL | {"Volts": "?"}))
    bring(csv_file(FULL))
    assert fields_of(Machine, "volts", "unreadable") == {"volts": "208-230/460", "unreadable": []}


def test_first_hours_then_reach_back_to_the_oldest_machine() -> None:
    bring(csv_file(FULL, FULL | {"Tag": "EF-2", "Installed on": "2019-04-01"}))
    assert OperatingPeriod.objects.get().valid_from == date(2019, 4, 1)


def test_two_fans_of_one_system_then_one_system() -> None:
    bring(csv_file(FULL, FULL | {"Tag": "EF-2"}))
    assert len(set(Fan.objects.values_list("system"))) == 1


def test_fans_without_system_then_each_has_its_own() -> None:
    bring(csv_file(PLAIN | {"System": ""}, PLAIN | {"System": "", "Tag": "EF-2"}))
    assert set(Fan.objects.values_list("tag", "system__name")) == {
        ("EF-1", "EF-1"), ("EF-2", "EF-2"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("said", "motor"),
    [
        ({"Capacitor": "10"}, "psc"),
        ({"Poles": "3"}, "three_phase"),
        ({"Volts": "230/460"}, "three_phase"),
        ({"Volts": "115"}, "other"),
    ],
)
def test_motor_type_left_out_then_taken_from_the_rest(said: dict[str, str], motor: str) -> None:
    report = bring(csv_file(PLAIN | {"Drive": "direct"} | said))
    told = note_sentences(report.notes)
    assert (Machine.objects.get().motor_type, len(told)) == (motor, 1)


def test_dry_run_then_tells_the_same_and_stores_nothing() -> None:
    dry, real = bring(csv_file(FULL), dry_run=True), bring(csv_file(FULL))
    assert (dry.added, dry.onboarding, dry.fan_ids) == (real.added, real.onboarding, ())


def test_dry_run_then_tables_stay_empty() -> None:
    bring(csv_file(FULL), dry_run=True)
    assert set(row_counts().values()) == {0}


def test_changed_cells_then_old_and_new_are_shown() -> None:
    bring(csv_file(FULL))
    changed = FULL | {"Panel": "RP-3", "Power (hp)": "1.5", "Owner email": "new@ashdown.example"}
    assert changes_of(csv_file(changed)) == [
        ("Owner email", "office@ashdown.example", "new@ashdown.example"),
        ("Power (hp)", "1", "1.5"),
        ("Panel", "RP-2", "RP-3"),
    ]


def test_changed_cells_in_dry_run_then_shown_and_not_stored() -> None:
    bring(csv_file(FULL))
    shown = changes_of(csv_file(FULL | {"Panel": "RP-3"}), dry_run=True)
    assert (shown, Feed.objects.get().panel) == ([("Panel", "RP-2", "RP-3")], "RP-2")


def test_changed_cell_then_history_tells_who_and_when(django_user_model: type[Person]) -> None:
    dana = django_user_model.objects.create(username="dana", role="dispatcher")
    bring(csv_file(FULL), by=dana)
    bring(csv_file(FULL | {"Serial": "A2"}), by=dana, now=NEXT_DAY)
    told = Machine.history.values_list("serial", "history_user", "history_date", "history_type")
    assert set(told) == {("A1", dana.pk, NOW, "+"), ("A2", dana.pk, NEXT_DAY, "~")}


def test_blank_cell_then_leaves_what_is_on_record() -> None:
    bring(csv_file(FULL))
    assert bring(csv_file(FULL | {"Panel": "", "Serial": "", "Hours": ""})).changes_nothing


def test_other_cooking_then_a_new_period_from_today() -> None:
    bring(csv_file(FULL))
    bring(csv_file(FULL | {"Cooking classes": "solid fuel"}), now=NEXT_DAY)
    assert list(CookingPeriod.objects.values_list("valid_from", "classes")) == [
        (date(2021, 5, 18), ["high", "moderate"]), (date(2026, 3, 3), ["solid_fuel"]),
    ]  # fmt: skip


def test_other_hours_on_the_same_day_then_corrected_in_place() -> None:
    bring(csv_file(FULL | {"Hours since": "2025-01-01"}))
    changed = FULL | {"Hours since": "2025-01-01", "Hours": "always"}
    shown = changes_of(csv_file(changed))
    assert (shown, OperatingPeriod.objects.get().always) == (
        [("Hours", "Mon-Sat 10:00-23:00; Sun 11:00-21:00", "always")], True,
    )  # fmt: skip


def test_further_expected_cleaning_then_added_to_the_others() -> None:
    bring(csv_file(FULL | {"Expected cleanings": "2026-06-14"}))
    bring(csv_file(FULL | {"Expected cleanings": "2026-08-01"}))
    days = ExpectedCleaning.objects.values_list("day", flat=True)
    assert list(days) == [date(2026, 6, 14), date(2026, 8, 1)]


def test_other_serial_installed_later_then_the_machine_was_replaced() -> None:
    bring(csv_file(FULL))
    bring(csv_file(FULL | {"Serial": "B7", "Installed on": "2026-02-10"}))
    told = Machine.objects.values_list("serial", "installed_on", "removed_on", "first_here")
    assert list(told) == [
        ("A1", date(2021, 5, 18), date(2026, 2, 10), True),
        ("B7", date(2026, 2, 10), None, False),
    ]


def test_fan_moved_to_another_system_then_changed() -> None:
    bring(csv_file(FULL))
    moved = FULL | {"System": "Wood oven"}
    assert changes_of(csv_file(moved)) == [("System", "Main line", "Wood oven")]


@pytest.fixture
def told() -> Iterator[list[list[int]]]:
    """Fan ids of every signal sent meanwhile."""
    sent: list[list[int]] = []

    def listen(fan_ids: list[int], **_: Any) -> None:
        sent.append(fan_ids)

    fans_touched.connect(listen)
    yield sent
    fans_touched.disconnect(listen)


def test_touched_fans_then_told_once_each(told: list[list[int]]) -> None:
    bring(csv_file(FULL, FULL | {"Tag": "EF-2"}))
    bring(csv_file(FULL | {"Cooking classes": "low"}), now=NEXT_DAY)
    everyone = sorted(Fan.objects.values_list("pk", flat=True))
    assert told == [everyone, everyone]


def test_new_fans_then_onboarding_days_lie_within_the_weeks() -> None:
    report = bring(csv_file(*[FULL | {"Tag": f"EF-{n}"} for n in range(84)]), onboarding_weeks=6)
    assert report.onboarding
    days = sorted(Fan.objects.values_list("onboarding_on", flat=True))
    assert days == [date(2026, 3, 3) + timedelta(days=n // 2) for n in range(84)]
    assert (report.onboarding.first_on, report.onboarding.last_on) == (days[0], days[-1])


def test_no_weeks_then_no_onboarding_day() -> None:
    bring(csv_file(FULL), onboarding_weeks=0)
    assert Fan.objects.get().onboarding_on is None


def test_order_of_rows_then_gives_the_same_onboarding_days() -> None:
    rows = [FULL | {"Tag": f"EF-{n}"} for n in range(20)]
    bring(csv_file(*rows))
    days = dict(Fan.objects.values_list("tag", "onboarding_on"))
    for model in reversed(PARENTS_FIRST):
        model._default_manager.all().delete()
    bring(csv_file(*reversed(rows)))
    assert dict(Fan.objects.values_list("tag", "onboarding_on")) == days


def test_queries_then_do_not_grow_with_the_rows(django_assert_max_num_queries: Any) -> None:
    rows = [FULL | {"Tag": f"EF-{n}", "Site": f"Site {n // 3}"} for n in range(300)]
    bring(csv_file(*rows))
    with django_assert_max_num_queries(25):
        bring(csv_file(*rows))


def test_unreadable_parts_on_record_in_another_order_then_nothing_changes() -> None:
    data = csv_file(FULL | {"Volts": "?", "Serial": "?"})
    bring(data)
    Machine.objects.update(unreadable=["volts", "serial"])
    assert bring(data).changes_nothing
