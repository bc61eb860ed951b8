"""The admin as a manager uses it; strangers stay outside."""

from datetime import date
from typing import Any

import pytest
from django.contrib import admin
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fleet.models import (
    DaysOff,
    ExhaustSystem,
    Fan,
    Machine,
    OperatingPeriod,
    Person,
    Site,
    WorkingWeek,
)
from tests.fleet.sheets import FULL, bring, csv_file
from tests.schedules.fans import make_fan

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)


def person(name: str, role: str, **more: Any) -> Person:
    return Person.objects.create_user(name, password="plum-tart-9", role=role, **more)


@pytest.fixture
def manager(client: Client) -> Client:
    client.force_login(person("mia", "manager", is_staff=True))
    return client


@pytest.fixture
def fan() -> Fan:
    bring(csv_file(FULL))
    return Fan.objects.get()


def edit_url(row: Any) -> str:
    return reverse(f"admin:fleet_{row._meta.model_name}_change", args=[row.pk])


def form_of(client: Client, url: str) -> dict[str, Any]:
    """Everything the page would send back untouched."""
    context = client.get(url).context
    forms = [context["adminform"].form]
    for formset in (inline.formset for inline in context["inline_admin_formsets"]):
        forms += [formset.management_form, *formset.forms]
    filled = {bound.html_name: bound.value() for form in forms for bound in form}
    # a browser sends nothing for a box that is not ticked
    return {
        name: "" if value is None else value for name, value in filled.items() if value is not False
    }


@pytest.mark.parametrize("model", ["owner", "site", "exhaustsystem", "fan", "person"])
def test_lists_and_their_search_then_open_for_a_manager(
    manager: Client, fan: Fan, model: str
) -> None:
    url = reverse(f"admin:fleet_{model}_changelist")
    assert [manager.get(url, query).status_code for query in ({}, {"q": "Ash"})] == [200, 200]


@pytest.mark.parametrize("part", ["fan", "site", "system", "site.owner"])
def test_pages_of_one_row_then_open_for_a_manager(manager: Client, fan: Fan, part: str) -> None:
    row: Any = fan
    for name in part.split(".") if part != "fan" else ():
        row = getattr(row, name)
    assert manager.get(edit_url(row)).status_code == 200


@pytest.mark.parametrize("role", ["dispatcher", "technician", "owner"])
def test_others_then_stay_outside(client: Client, fan: Fan, role: str) -> None:
    owner = fan.site.owner if role == "owner" else None
    client.force_login(person("sam", role, owner=owner, is_staff=True))
    assert client.get(edit_url(fan)).status_code == 403


def test_search_by_serial_number_then_finds_the_fan(manager: Client, fan: Fan) -> None:
    found = manager.get(reverse("admin:fleet_fan_changelist"), {"q": "A1"}).context["cl"]
    assert list(found.result_list) == [fan]


def test_fan_list_then_never_counts_the_whole_table(manager: Client, fan: Fan) -> None:
    with CaptureQueriesContext(
        connection,
    ) as queries:
        manager.get(reverse("admin:fleet_fan_changelist"))
    counts = [q["sql"] for q in queries if "COUNT(" in q["sql"]]
    assert [sql for sql in counts if "LIMIT" not in sql] == []


def test_fan_list_then_queries_do_not_grow_with_the_fans(
    manager: Client, django_assert_max_num_queries: Any
) -> None:
    bring(csv_file(*[FULL | {"Tag": f"EF-{n}"} for n in range(40)]))
    with django_assert_max_num_queries(12):
        manager.get(reverse("admin:fleet_fan_changelist"))


def test_hours_typed_as_text_then_stored_as_spans(manager: Client, fan: Fan) -> None:
    url = edit_url(fan.system)
    manager.post(url, form_of(manager, url) | {"operating-0-hours": "always"})
    assert OperatingPeriod.objects.get().always


def test_hours_nobody_can_read_then_told_on_the_page(manager: Client, fan: Fan) -> None:
    url = edit_url(fan.system)
    page = manager.post(url, form_of(manager, url) | {"operating-0-hours": "9-5"})
    assert "could be read two ways" in page.content.decode()


def test_site_saved_untouched_then_stays_as_it_was(manager: Client, fan: Fan) -> None:
    url, before = edit_url(fan.site), Site.objects.values().get()
    manager.post(url, form_of(manager, url))
    assert Site.objects.values().get() == before


def test_system_saved_untouched_then_stays_as_it_was(manager: Client, fan: Fan) -> None:
    url, before = edit_url(fan.system), OperatingPeriod.objects.values().get()
    answer = manager.post(url, form_of(manager, url))
    assert (answer.status_code, OperatingPeriod.objects.values().get()) == (302, before)


def replacement(client: Client, url: str, removed_on: str) -> Any:
    """The fan's form with a second machine, the first removed on a day or not."""
    new = {
        "machines-TOTAL_FORMS": "2", "machines-0-removed_on": removed_on,
        "machines-1-installed_on": "2026-03-02", "machines-1-serial": "B7",
        "machines-1-drive": "belt", "machines-1-motor_type": "three_phase",
        "machines-1-shaft": "vertical",
    }  # fmt: skip
    return client.post(url, form_of(client, url) | new)


def test_machine_replaced_on_the_fans_page_then_history_is_kept(manager: Client, fan: Fan) -> None:
    replacement(manager, edit_url(fan), "2026-03-02")
    told = Machine.objects.values_list("serial", "removed_on", "first_here")
    assert list(told) == [("A1", DAY, True), ("B7", None, False)]


def test_second_machine_with_the_first_in_place_then_refused(manager: Client, fan: Fan) -> None:
    page = replacement(manager, edit_url(fan), "").content.decode()
    assert ("Only one machine can be in place" in page, Machine.objects.count()) == (True, 1)


def test_edit_then_history_names_the_manager(manager: Client, fan: Fan) -> None:
    url = edit_url(fan)
    manager.post(url, form_of(manager, url) | {"place": "by the hatch"})
    told = Fan.history.latest("history_id")
    assert (told.place, told.history_user.username) == ("by the hatch", "mia")


def test_role_of_manager_given_then_admin_opens(manager: Client) -> None:
    theo = person("theo", "technician")
    manager.post(edit_url(theo), form_of(manager, edit_url(theo)) | {"role": "manager"})
    theo.refresh_from_db()
    assert theo.is_staff


def test_administrator_then_not_changed_by_a_manager(manager: Client) -> None:
    chief = Person.objects.create_superuser("chief", password="plum-tart-9", role="manager")
    answer = manager.post(edit_url(chief), {"username": "taken", "role": "manager"})
    chief.refresh_from_db()
    assert (answer.status_code, chief.username) == (403, "chief")


def test_register_then_every_main_model_is_in_the_admin() -> None:
    registered = set(admin.site._registry)
    assert {Fan, Site, ExhaustSystem, Person} <= registered


def technician_form(manager: Client, theo: Person, **told: Any) -> dict[str, Any]:
    """A technician's page with a base and hours typed in."""
    week = {
        "working_week-TOTAL_FORMS": 1, "working_week-0-latitude": 30.5,
        "working_week-0-longitude": -88.7, "working_week-0-hours": "Mon-Fri 7:00-15:30",
        "working_week-0-overtime_minutes": 60, "working_week-0-reserve_minutes": 45,
    }  # fmt: skip
    off = {"days_off-TOTAL_FORMS": 1, "days_off-0-first_on": "2026-12-24"}
    filled = form_of(manager, edit_url(theo)) | week | off
    return filled | {"days_off-0-last_on": "2026-12-26", "last_login": "", **told}


def test_technician_when_given_base_hours_and_leave_then_kept(
    manager: Client, theo: Person
) -> None:
    answer = manager.post(edit_url(theo), technician_form(manager, theo))
    assert answer.status_code == 302
    week = WorkingWeek.objects.get(technician=theo)
    assert (week.hours, week.reserve_minutes) == ([[[420, 930]]] * 5 + [[]] * 2, 45)
    assert theo.days_off.get().last_on == date(2026, 12, 26)


def test_days_off_when_without_a_technician_then_everybodys(manager: Client, theo: Person) -> None:
    page = reverse("admin:fleet_daysoff_add")
    days = {"technician": "", "first_on": "2026-12-25", "last_on": "2026-12-25"}
    assert manager.post(page, {**days, "reason": "holiday"}).status_code == 302
    listed = manager.get(reverse("admin:fleet_daysoff_changelist")).content.decode()
    assert ("everybody" in listed, DaysOff.objects.get().technician) == (True, None)


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("working_week-0-hours", "Mon 7:00-9:00, 10:00-12:00", "several spans"),
        ("working_week-0-hours", "closed", "No day has hours"),
        ("working_week-0-latitude", "95", "-90 to 90"),
        ("days_off-0-last_on", "2026-12-23", "before the first"),
    ],
)
def test_technician_when_hours_or_leave_make_no_sense_then_told_why(
    field: str, value: str, told: str, manager: Client, theo: Person
) -> None:
    answer = manager.post(edit_url(theo), technician_form(manager, theo, **{field: value}))
    assert (answer.status_code, told in answer.content.decode()) == (200, True)


def test_site_when_a_blocker_is_typed_in_then_only_its_own_fans_are_offered(
    manager: Client, fan: Fan
) -> None:
    make_fan("EF-77")
    page = manager.get(edit_url(fan.site)).content.decode()
    assert (f">{fan.tag}<" in page, "EF-77" in page) == (True, False)
