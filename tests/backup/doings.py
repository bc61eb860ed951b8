"""What is done inside an install whose backups are tested; ``tests.installs.Install`` calls it."""

from __future__ import annotations

import datetime as dt
from base64 import b64encode
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

from django.contrib.admin.models import LogEntry
from django.contrib.auth.models import Group, Permission
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.test import Client
from django.test.utils import setup_test_environment
from django.utils import timezone

from fleet.models import Fan, Person
from fleet.services.keys import give_key
from schedules.backup.archive import About, Reader, Writer
from schedules.backup.saving import save_backup
from schedules.backup.tables import kept_tables, lines_of
from schedules.demo.found import Files, import_demo, moment_of
from schedules.due.reckoning import reckon_fleet
from schedules.models import DueState
from tests.api.asking import by_key
from tests.api.logs import VISITS, walk
from tests.schedules.fans import make_fan
from visits.models import Visit

TODAY = dt.date(2026, 6, 15)
"""The day for which the fleet of the first release was made."""

GZIP = b"\x1f\x8b"
NOW = dt.datetime(2026, 6, 16, 9, 30, 15, 123456, tzinfo=dt.UTC)
ANSWER = ("due_on", "due_rule", "overdue_after", "overdue_rule", "not_before", "worst_verdict",
          "fault", "dates")  # fmt: skip


@cache
def as_in_tests() -> None:
    """Let Django's test client ask this install; once in a process."""
    setup_test_environment()


def import_files(folder: Path) -> None:
    """Bring in the fleet and visits of that folder as they were when they were made."""
    files = Files(*((folder / name).read_bytes() for name in ("fleet.csv", "visits.jsonl")))
    import_demo(files=files, now=moment_of(TODAY), tell=lambda _: None)


def add_people() -> str:
    """Somebody with a password, a device's key, groups and a log; gives the key."""
    mara = Person.objects.create_user("mara", password="roof-and-ladder", role="manager")
    group = Group.objects.create(name="inspectors")
    group.permissions.set(Permission.objects.all()[:3])
    mara.groups.set([group])
    LogEntry.objects.create(user=mara, action_time=NOW, object_repr="EF-1", action_flag=2)
    gone = make_fan("EF-99")
    gone.machines.all().delete()
    gone.delete()
    as_in_tests()
    assert by_key(mara).post(VISITS, walk(make_fan("EF-98"))).status_code == 201
    return str(give_key(person=mara, name="phone")[1])


def key_is_known(key: str) -> list[Any]:
    """Who a device's key is, whether the password is right, and where the next fan is counted."""
    as_in_tests()
    known = Client().get("/api/v1/fans", headers={"Authorization": f"Token {key}"}).status_code
    mara = Person.objects.get(username="mara")
    return [known, mara.check_password("roof-and-ladder"), list(mara.groups.values_list("name"))]


def next_fan() -> int:
    """The key that the next fan gets."""
    fan = make_fan("EF-100")
    fan.machines.all().delete()
    key, _ = fan.pk, fan.delete()
    return key


def look_around(key: str) -> list[Any]:
    """What a restored install says of itself: fans reckoned anew from the record, how many dates
    moved and how many failed; who a device's key is; its pages; where the next fan is counted.
    """
    return [reckon_anew(), key_is_known(key), pages(), next_fan()]


def reckon_anew() -> list[int]:
    """Fans reckoned from the record alone, dates that moved by it, fans that could not be."""
    told = reckon_fleet(now=timezone.now(), only_stale=False, from_truth=True)
    return [told.fans, told.changed, told.failed]


def answers_and_pages() -> list[Any]:
    """Both, by one process."""
    return [answers(), pages()]


def reckoned_answers_and_pages() -> list[Any]:
    """Both after all was reckoned anew: how many fans, how many failed, then those."""
    fans, _, failed = reckon_anew()
    return [[fans, failed], *answers_and_pages()]


def answers() -> dict[str, list[Any]]:
    """Every fan's stored answer, by its place."""
    rows = DueState.objects.values_list("fan__site__name", "fan__tag", *ANSWER)
    return {
        f"{site} {tag}": [
            value.isoformat() if isinstance(value, dt.date)
            else b64encode(value).decode() if isinstance(value, bytes | memoryview) else value
            for value in answer
        ]
        for site, tag, *answer in rows
    }  # fmt: skip


def pages() -> list[int]:
    """How the due list, a fan's page and the API answer to a manager."""
    as_in_tests()
    person, _ = Person.objects.get_or_create(username="maren", defaults={"role": "manager"})
    browser = Client()
    browser.force_login(person)
    fan = DueState.objects.exclude(worst_verdict=0).order_by("due_on")[0].fan_id
    asked = ("/", f"/fans/{fan}/", "/api/v1/due")
    return [browser.get(path).status_code for path in asked]


def rows_in(path: Path) -> dict[str, list[Any]]:
    """All rows of a backup by their tables; how many bytes its files have stands for them."""
    found: dict[str, list[Any]] = {}
    with path.open("rb") as stream:
        for kind, name, content in Reader(stream).parts():
            if kind == "rows":
                found.setdefault(name, []).extend(content)
            else:
                found[f"{kind}/{name}"] = [len(content)]
    return found


class Interrupted(BytesIO):
    """A place for a backup; when the first rows come somebody logs a visit."""

    began = False

    def write(self, data: Any) -> int:
        if not self.began and bytes(data[:2]) == GZIP:
            self.began = True
            with ThreadPoolExecutor(1) as pool:
                assert pool.submit(_log_a_visit).result() == 201
        return super().write(data)


def _log_a_visit() -> int:
    person = Person.objects.get(username="mara")
    try:
        return by_key(person).post(VISITS, walk(Fan.objects.get(tag="EF-98"))).status_code
    finally:
        connection.close()


def save_while_others_write() -> list[int]:
    """Visits before, in the backup, and after somebody logged one while it was made."""
    as_in_tests()
    before, place = Visit.objects.count(), Interrupted()
    saved = save_backup(place, now=NOW)
    place.seek(0)
    list(Reader(place).parts())
    return [before, saved.tally.rows["visits.visit"], Visit.objects.count()]


def save_as_it_is(path: str) -> int:
    """Save a database that older code made, with the tables it has; how many rows."""
    loader = MigrationLoader(connection)
    nodes = frozenset(loader.applied_migrations)
    last = [
        node for node in nodes if not any(later[0] == node[0] and later > node for later in nodes)
    ]
    then = loader.project_state(last).apps
    with Path(path).open("wb") as stream:
        writer = Writer(stream, About(NOW, nodes))
        for label, table in kept_tables(then).items():
            writer.add_rows(label, lines_of(table))
        writer.finish()
    return sum(writer.tally.rows.values())
