"""The import page: read dry, told whole, stored once, open to those who plan only."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, override_settings
from playwright.sync_api import Page

from fleet.models import Fan, Machine, Person
from schedules.models import DueState
from schedules.services import import_fleet_file
from tests.axe import complaints
from tests.fleet.sheets import FULL, NOW, PLAIN, csv_file, workbook
from tests.pages.test_due_list import text_of
from tests.people import sign_in, signed_in
from tests.visits.roofs import check, make_roof, visit
from visits.models import Visit

pytestmark = [pytest.mark.django_db, pytest.mark.once]
WRONG = csv_file(FULL | {"Power (hp)": "much", "Installed on": "2021-02-30"}, PLAIN)


@pytest.fixture(autouse=True)
def data_dir(tmp_path: Path) -> Any:
    """Uploads of a test are kept apart."""
    with override_settings(DATA_DIR=tmp_path):
        yield tmp_path


def kept() -> int:
    """How many files are kept for a confirmation."""
    folder = settings.DATA_DIR / "uploads"
    return len(list(folder.iterdir())) if folder.exists() else 0


def send(client: Client, data: bytes, name: str = "fans.csv", what: str = "fleet") -> Any:
    file = SimpleUploadedFile(name, data)
    return client.post("/import/", {"what": what, "weeks": "6", "file": file})


def confirm(client: Client, answer: Any) -> Any:
    """Press the button that a dry run shows."""
    token = re.search(r'name="confirm" value="([^"]+)"', answer.content.decode())
    assert token is not None
    return client.post("/import/", {"confirm": token[1]}, follow=True)


def test_import_when_nobody_is_signed_in_then_asks_to(client: Client) -> None:
    assert client.get("/import/").headers["Location"] == "/login/?next=/import/"


@pytest.mark.parametrize(
    ("who", "status"), [("dana", 200), ("mary", 200), ("theo", 404), ("olga", 404)]
)
def test_import_when_opened_then_only_by_who_plans(
    who: str, status: int, request: pytest.FixtureRequest
) -> None:
    person = request.getfixturevalue(who)
    assert signed_in(person).get("/import/").status_code == status


@pytest.fixture
def mary(db: None) -> Person:
    """Mary, the manager."""
    return Person.objects.create_user("mary", role=Person.Role.MANAGER)


@pytest.mark.parametrize("who", ["theo", "olga"])
def test_import_when_sent_by_who_may_not_then_as_if_it_did_not_exist(
    who: str, request: pytest.FixtureRequest
) -> None:
    answer = send(signed_in(request.getfixturevalue(who)), csv_file(PLAIN))
    assert (answer.status_code, Fan.objects.filter(tag="EF-1", site__name="Mill Lane").count()) == (
        404, 0,
    )  # fmt: skip


def test_file_when_read_dry_then_what_it_would_add_and_nothing_is_stored(dana: Person) -> None:
    answer = send(signed_in(dana), csv_file(FULL, PLAIN | {"Tag": "EF-2"}))
    words = text_of(answer)
    assert ("It would add 1 owner" in words, "2 fans" in words, Fan.objects.count()) == (
        True, True, 0,
    )  # fmt: skip


def test_file_when_wrong_then_row_column_value_problem_and_remedy_of_everything(
    dana: Person,
) -> None:
    words = text_of(send(signed_in(dana), WRONG))
    parts = (
        "fans.csv: 3 things to put right", "Nothing was stored.",
        "2 Power (hp) much this is no number write digits, with a point before decimals, as in 1.5",
        "2 Installed on 2021-02-30 the calendar has no such day write it as in 2026-03-02",
        "3 Tag EF-1 this site has the same tag in row 2 already",
    )  # fmt: skip
    assert [part for part in parts if part not in words] == []


@pytest.mark.parametrize(("data", "files"), [(WRONG, 0), (csv_file(FULL), 1)])
def test_file_when_read_dry_then_kept_only_where_it_can_be_confirmed(
    dana: Person, data: bytes, files: int
) -> None:
    send(signed_in(dana), data)
    assert kept() == files


def test_file_when_confirmed_then_stored_and_its_fans_have_their_dates(dana: Person) -> None:
    client = signed_in(dana)
    words = text_of(confirm(client, send(client, csv_file(FULL))))
    assert ("fans.csv is stored: added 1 owner" in words, DueState.objects.stale().count()) == (
        True, 0,
    )  # fmt: skip


def test_file_when_confirmed_then_no_longer_kept(dana: Person) -> None:
    client = signed_in(dana)
    confirm(client, send(client, csv_file(FULL)))
    assert kept() == 0


def test_file_when_confirmed_twice_then_stored_once(dana: Person) -> None:
    client = signed_in(dana)
    shown = send(client, csv_file(FULL))
    confirm(client, shown)
    words = text_of(confirm(client, shown))
    assert ("That file is no longer kept." in words, Fan.objects.count()) == (True, 1)


def test_file_when_sent_again_after_it_is_stored_then_nothing_to_store(dana: Person) -> None:
    client = signed_in(dana)
    confirm(client, send(client, csv_file(FULL)))
    words = text_of(send(client, csv_file(FULL)))
    assert ("all on record already" in words, "Store it" in words) == (True, False)


def test_file_when_it_changes_a_value_then_old_and_new_are_shown_first(dana: Person) -> None:
    client = signed_in(dana)
    confirm(client, send(client, csv_file(FULL)))
    shown = send(client, csv_file(FULL | {"Power (hp)": "1.5"}))
    assert "2 Mill Lane EF-1 Power (hp) 1 1.5" in text_of(shown)
    confirm(client, shown)
    assert Machine.objects.get().power_hp == 1.5


def test_page_when_opened_then_lists_the_names_that_old_visits_use(dana: Person) -> None:
    words = text_of(signed_in(dana).get("/import/"))
    assert "switch_cover tight, loose (watch), open (act)" in words


def test_file_when_owners_and_sites_are_new_then_named(dana: Person) -> None:
    words = text_of(send(signed_in(dana), csv_file(FULL)))
    assert "New owner: Ashdown Kitchens. New site: Mill Lane." in words


def test_file_when_the_register_moved_on_and_refuses_it_then_told_and_not_stored(
    dana: Person,
) -> None:
    client = signed_in(dana)
    shown = send(client, csv_file(FULL | {"Serial": "A1", "Installed on": "2021-05-18"}))
    for serial, day in (("A1", "2021-05-18"), ("B7", "2026-01-05")):
        newer = FULL | {"Serial": serial, "Installed on": day, "Power (hp)": "1.5"}
        import_fleet_file(data=csv_file(newer), name="newer.csv", by=dana, now=NOW)
    answer = confirm(client, shown)
    assert (answer.status_code, "Nothing was stored." in text_of(answer)) == (409, True)


def test_file_when_another_person_confirms_it_then_no_longer_kept(
    dana: Person, mary: Person
) -> None:
    shown = send(signed_in(dana), csv_file(FULL))
    words = text_of(confirm(signed_in(mary), shown))
    assert ("That file is no longer kept." in words, Fan.objects.count()) == (True, 0)


@pytest.mark.parametrize("token", ["", "../secret_key", "x" * 32, "%00"])
def test_confirmation_when_made_up_then_no_longer_kept(dana: Person, token: str) -> None:
    answer = signed_in(dana).post("/import/", {"confirm": token}, follow=True)
    assert "That file is no longer kept." in text_of(answer)


def test_file_when_too_large_then_said_before_it_is_read(
    dana: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("schedules.pages.import_page.LARGEST_BYTES", 100)
    words = text_of(send(signed_in(dana), csv_file(FULL)))
    assert ("Split it in two." in words, "It would add" in words) == (True, False)


@pytest.mark.parametrize(
    ("data", "name", "said"),
    [
        (b"", "fans.csv", "the file is empty"),
        (b"PK\x03\x04 no workbook", "fans.xlsx", "the XLSX file is damaged"),
        (b"\xff\xfe\x00", "fans.csv", "things to put right"),
        (workbook(["Owner", "Site"], ["Ashdown", "Mill Lane"]), "fans.xlsx", "column is missing"),
    ],
)
def test_file_when_hostile_then_told_and_nothing_is_stored(
    dana: Person, data: bytes, name: str, said: str
) -> None:
    words = text_of(send(signed_in(dana), data, name))
    assert (said.replace("things", "thing") in words.replace("things", "thing"), kept()) == (
        True, 0,
    )  # fmt: skip


def test_file_when_its_name_and_cells_hold_markup_then_shown_as_text(dana: Person) -> None:
    data = csv_file(PLAIN | {"Power (hp)": "<script>alert(1)</script>"})
    body = send(signed_in(dana), data, "<b>fans</b>.csv").content.decode()
    assert ("<script>" in body, "&lt;script&gt;" in body, "<b>fans" in body) == (False, True, False)


def test_import_when_asked_for_its_head_then_answered(dana: Person) -> None:
    assert signed_in(dana).head("/import/").status_code == 200


@pytest.mark.parametrize("missing", ["file", "what", "weeks"])
def test_form_when_something_is_missing_then_said_beside_it(dana: Person, missing: str) -> None:
    sent = {"what": "fleet", "weeks": "6", "file": SimpleUploadedFile("fans.csv", b"x")}
    del sent[missing]
    assert "This field is required." in text_of(signed_in(dana).post("/import/", sent))


def test_visits_when_confirmed_then_stored_as_records_from_before(dana: Person) -> None:
    make_roof()
    client = signed_in(dana)
    data = json.dumps(visit(check())).encode()
    shown = send(client, data, "old.jsonl", "visits")
    words = text_of(confirm(client, shown))
    assert ("It would add 1 visit." in text_of(shown), "added 1 visit." in words) == (True, True)
    assert [row.here for row in Visit.objects.all()] == [False]


def test_visits_when_made_under_this_schedule_then_stored_as_such(dana: Person) -> None:
    make_roof()
    client = signed_in(dana)
    file = SimpleUploadedFile("visits.jsonl", json.dumps(visit(check())).encode())
    asked = {"what": "visits", "weeks": "6", "here": "on", "file": file}
    confirm(client, client.post("/import/", asked))
    assert [row.here for row in Visit.objects.all()] == [True]


def test_file_when_very_much_is_wrong_then_all_of_it_is_shown(dana: Person) -> None:
    rows = [PLAIN | {"Tag": f"EF-{n}", "Power (hp)": f"x{n}"} for n in range(1_500)]
    words = text_of(send(signed_in(dana), csv_file(*rows)))
    assert ("1500 things to put right" in words, words.count("this is no number")) == (True, 1_500)


def test_visits_when_wrong_then_line_place_value_problem_and_remedy(dana: Person) -> None:
    make_roof()
    data = json.dumps(visit(check("EF-9"))).encode()
    words = text_of(send(signed_in(dana), data, "old.jsonl", "visits"))
    assert "1 /checks/0/fan" in words


def test_visits_when_many_words_were_possible_then_told_where_the_page_lists_them(
    dana: Person,
) -> None:
    make_roof()
    data = json.dumps(visit(check(readings={"zorks": 1}))).encode()
    words = text_of(send(signed_in(dana), data, "old.jsonl", "visits"))
    assert "more, all listed below, under Old visits: names" in words


# ---- in a browser


@pytest.fixture
def signed_page(page: Page, dana: Person) -> Page:
    """Dana's browser at the import page."""
    sign_in(page, dana)
    page.goto("/import/")
    return page


def choose(page: Page, data: bytes, name: str = "fans.csv") -> None:
    """Choose a file and have it read."""
    file = {"name": name, "mimeType": "text/csv", "buffer": data}
    page.get_by_label("File", exact=True).set_input_files(file)  # type: ignore[arg-type]
    page.get_by_role("button", name="Read it, store nothing").click()
    page.locator("#told").wait_for()


@pytest.mark.browser
def test_file_when_read_and_confirmed_in_a_browser_then_stored(signed_page: Page) -> None:
    choose(signed_page, csv_file(FULL))
    signed_page.get_by_role("button", name="Store it").click()
    assert "is stored" in (signed_page.get_by_role("status").text_content() or "")


@pytest.mark.browser
@pytest.mark.parametrize("data", [WRONG, csv_file(FULL)], ids=["wrong", "right"])
def test_import_when_read_by_axe_then_no_violation_and_no_sideways_scroll(
    signed_page: Page, data: bytes
) -> None:
    choose(signed_page, data)
    for summary in signed_page.locator("summary").all():
        summary.click()
    assert signed_page.locator("#told").count() == 1
    assert complaints(signed_page) == []


EVERY_OTHER = csv_file(
    *[PLAIN | {"Tag": f"EF-{n}", "Power (hp)": "" if n % 2 else "much"} for n in range(90)]
)


@pytest.mark.browser
def test_import_when_many_rows_have_one_fault_then_nothing_scrolls_sideways(
    signed_page: Page,
) -> None:
    choose(signed_page, EVERY_OTHER)
    assert signed_page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.browser
def test_changes_when_phone_wide_then_their_caption_is_one_line(signed_page: Page) -> None:
    import_fleet_file(data=csv_file(FULL), name="fans.csv", by=None, now=NOW)
    choose(signed_page, csv_file(FULL | {"Place": "moved to the east edge"}))
    caption = signed_page.get_by_text("Values that would change").bounding_box()
    assert caption is not None
    assert caption["height"] < 40
