"""Keys of devices: given for a password, listed to whom they belong, revoked at once."""

from __future__ import annotations

from base64 import urlsafe_b64decode
from datetime import timedelta
from typing import Any, ClassVar
from urllib.parse import parse_qs, urlsplit

import pytest
from axes.models import AccessAttempt
from django.contrib.auth.hashers import MD5PasswordHasher, identify_hasher, make_password
from django.test import Client, override_settings
from django.utils import timezone

from config import settings as project
from config.api.spraying import MOST_NAMES
from fleet.models import DeviceKey, Person
from fleet.services.keys import give_key
from tests.api.asking import V1, by_key, faults, nobody

KEYS = f"{V1}/keys"
WORDS = "roof-walk-91"
pytestmark = pytest.mark.django_db


@pytest.fixture
def ted() -> Person:
    """Ted, a technician who remembers his password."""
    return Person.objects.create_user("ted", password=WORDS, role=Person.Role.TECHNICIAN)


@pytest.fixture
def mary() -> Person:
    """Mary, the manager."""
    return Person.objects.create_user("mary", role=Person.Role.MANAGER)


def ask(password: str = WORDS, address: str = "203.0.113.7", **more: str) -> Any:
    """Ask for a key for Ted's phone, from some address."""
    body = {"username": "ted", "password": password, "name": "phone"} | more
    return nobody().post(KEYS, body, REMOTE_ADDR=address)


def test_list_when_it_goes_on_then_next_does_not_carry_what_is_kept_of_a_key(ted: Person) -> None:
    client = nobody()
    client.credentials(HTTP_AUTHORIZATION=f"Token {ask().json()['token']}")
    ask()
    first = client.get(KEYS, {"limit": 1}).json()
    after = parse_qs(urlsplit(first["next"]).query)["after"][0]
    told = urlsafe_b64decode(after + "=" * (-len(after) % 4)).decode()
    assert not [key for key in DeviceKey.objects.all() if key.digest in told]
    assert len(client.get(first["next"]).json()["results"]) == 1


def test_key_when_given_for_a_password_then_opens_the_api(ted: Person) -> None:
    client = nobody()
    client.credentials(HTTP_AUTHORIZATION=f"Token {ask().json()['token']}")
    assert [key["name"] for key in client.get(KEYS).json()["results"]] == ["phone"]


def test_key_when_kept_then_only_as_a_hash(ted: Person) -> None:
    token = ask().json()["token"]
    assert token not in str(DeviceKey.objects.values().get())


def test_key_when_the_password_is_wrong_then_refused(ted: Person) -> None:
    assert (ask("wrong").status_code, DeviceKey.objects.count()) == (401, 0)


def test_key_when_parts_are_missing_then_each_is_pointed_at() -> None:
    assert faults(nobody().post(KEYS, {})) == ["#/username", "#/password", "#/name"]


@pytest.mark.parametrize("sign", ["\n", "\u2028", "\u202e"])
def test_key_when_its_name_is_not_one_plain_line_then_pointed_at(sign: str) -> None:
    body = {"username": "ted", "password": "x", "name": f"phone{sign}x"}
    assert faults(nobody().post(KEYS, body)) == ["#/name"]


def test_key_when_revoked_then_opens_nothing_from_that_moment(ted: Person) -> None:
    key, _ = give_key(person=ted, name="lost")
    client = by_key(ted)
    client.delete(f"{KEYS}/{key.id}")
    client.delete(f"{KEYS}/{DeviceKey.objects.get(name='phone').id}")
    assert (client.get(KEYS).status_code, DeviceKey.objects.count()) == (401, 0)


def test_key_when_past_its_time_then_opens_nothing(ted: Person) -> None:
    client = by_key(ted)
    DeviceKey.objects.update(expiry=timezone.now() - timedelta(seconds=1))
    assert client.get(KEYS).status_code == 401


def test_key_when_its_person_may_no_longer_sign_in_then_opens_nothing(ted: Person) -> None:
    client = by_key(ted)
    Person.objects.update(is_active=False)
    assert client.get(KEYS).status_code == 401


@pytest.mark.parametrize("words", ["", "x", "é", "\x00" * 64, "0" * 64, "0" * 64 + " 1"])
def test_key_when_it_is_none_then_401(words: str) -> None:
    client = nobody()
    client.credentials(HTTP_AUTHORIZATION=f"Token {words}")
    assert client.get(KEYS).status_code == 401


def test_keys_when_listed_then_never_their_words(ted: Person) -> None:
    assert set(by_key(ted).get(KEYS).json()["results"][0]) == {
        "id", "name", "person", "created", "expiry",
    }  # fmt: skip


@pytest.mark.parametrize(("who", "status"), [("theo", 404), ("olga", 404), ("mary", 204)])
def test_key_of_another_when_revoked_then_only_by_a_manager(
    who: str, status: int, ted: Person, request: pytest.FixtureRequest
) -> None:
    key, _ = give_key(person=ted, name="phone")
    asker = by_key(request.getfixturevalue(who))
    assert asker.delete(f"{KEYS}/{key.id}").status_code == status


def test_key_when_revoked_by_nobody_then_401(ted: Person) -> None:
    key, _ = give_key(person=ted, name="phone")
    assert nobody().delete(f"{KEYS}/{key.id}").status_code == 401


class CountingHasher(MD5PasswordHasher):
    """Notes each time that a password was hashed, which is what signing in takes its time for."""

    hashed: ClassVar[list[str]] = []

    def encode(self, password: str, salt: str) -> str:
        self.hashed.append(password)
        return super().encode(password, salt)


@override_settings(PASSWORD_HASHERS=[f"{__name__}.CountingHasher"])
def test_sign_in_when_nobody_goes_by_the_name_then_answered_alike_for_the_same_work() -> None:
    Person.objects.create_user("ted", password=WORDS, role=Person.Role.TECHNICIAN)
    told = []
    for name in ("ted", "nobody"):
        CountingHasher.hashed.clear()
        answer = ask("wrong", username=name)
        told.append((answer.status_code, answer.json(), list(CountingHasher.hashed)))
    assert (told[0], told[0][2]) == (told[1], ["wrong"])


def test_sign_in_when_wrong_too_often_then_locked_with_the_time_to_wait(ted: Person) -> None:
    for _ in range(5):
        ask("wrong")
    answer = ask()
    assert (answer.status_code, answer["Retry-After"], answer.json()["code"]) == (
        429, "900", "locked_out",
    )  # fmt: skip


def test_sign_in_when_locked_a_while_ago_then_told_the_time_that_is_left(ted: Person) -> None:
    """RFC 9110, 10.2.3: how long to wait before asking again; 15 minutes less 10 are 5."""
    for _ in range(5):
        ask("wrong")
    AccessAttempt.objects.update(attempt_time=timezone.now() - timedelta(minutes=10))
    answer = ask()
    assert 295 < int(answer["Retry-After"]) <= 300
    assert "in 5 minutes" in answer.json()["detail"]


def test_sign_in_when_a_place_is_locked_then_told_when_names_enough_are_forgotten(
    ted: Person,
) -> None:
    """Of 20 names the oldest was wrong 14 minutes ago: in one there are but 19."""
    spray(MOST_NAMES)
    long_ago = timezone.now() - timedelta(minutes=14)
    AccessAttempt.objects.filter(username="name3").update(attempt_time=long_ago)
    assert 55 < int(ask()["Retry-After"]) <= 60


def test_sign_in_when_a_stranger_was_wrong_elsewhere_then_the_technician_still_may(
    ted: Person,
) -> None:
    for _ in range(6):
        ask("wrong", address="198.51.100.9")
    assert ask().status_code == 201


def test_sign_in_when_right_after_wrong_ones_then_those_are_forgotten(ted: Person) -> None:
    told = [ask(words).status_code for words in ["wrong"] * 4 + [WORDS, "wrong", WORDS]]
    assert told == [401] * 4 + [201, 401, 201]


def spray(names: int, address: str = "203.0.113.7") -> None:
    """One password tried on so many names from one address."""
    for number in range(names):
        ask("summer-2026", address, username=f"name{number}")


@pytest.mark.parametrize(
    ("names", "address", "status"),
    [(MOST_NAMES, "203.0.113.7", 429), (MOST_NAMES - 1, "203.0.113.7", 201),
     (MOST_NAMES, "198.51.100.9", 201)],
)  # fmt: skip
def test_sign_in_when_many_names_were_tried_from_one_place_then_nobody_may_from_there_for_now(
    names: int, address: str, status: int, ted: Person
) -> None:
    spray(names)
    assert ask(address=address).status_code == status


def test_sign_in_when_many_names_were_tried_then_the_page_there_is_told_to_wait_too(
    ted: Person,
) -> None:
    spray(MOST_NAMES, "127.0.0.1")
    assert Client().post("/login/", {"username": "ted", "password": WORDS}).status_code == 429


def test_sign_in_when_many_names_were_tried_then_those_beyond_are_not_written_down() -> None:
    spray(MOST_NAMES + 3)
    assert AccessAttempt.objects.count() == MOST_NAMES


def test_sign_in_when_many_names_were_tried_long_ago_then_all_may_again(ted: Person) -> None:
    spray(MOST_NAMES)
    AccessAttempt.objects.update(attempt_time=timezone.now() - project.AXES_COOLOFF_TIME)
    assert ask().status_code == 201


@pytest.mark.parametrize(
    ("address", "status"), [("2001:db8:1:2::9", 429), ("2001:db8:1:3::9", 201)]
)
def test_sign_in_when_wrong_from_all_over_a_network_of_ipv6_then_counted_as_one_place(
    address: str, status: int, ted: Person
) -> None:
    # RFC 6177: one household or phone has all addresses of a network of 64 bits.
    for number in range(5):
        ask("wrong", address=f"2001:db8:1:2::{number}")
    assert ask(address=address).status_code == status


@override_settings(BEHIND_PROXY=True)
def test_sign_in_behind_a_proxy_when_a_stranger_was_wrong_then_the_technician_still_may(
    ted: Person,
) -> None:
    body = {"username": "ted", "password": "wrong", "name": "phone"}
    for _ in range(6):
        # The first address is the stranger's invention; the proxy wrote the second.
        nobody().post(KEYS, body, HTTP_X_FORWARDED_FOR="203.0.113.7, 198.51.100.9")
    told = nobody().post(KEYS, body | {"password": WORDS}, HTTP_X_FORWARDED_FOR="203.0.113.7")
    assert told.status_code == 201


def test_sign_in_on_the_page_when_wrong_too_often_then_a_page_says_when(ted: Person) -> None:
    client = Client()
    for _ in range(5):
        answer = client.post("/login/", {"username": "ted", "password": "wrong"})
    assert (answer.status_code, "try again in 15 minutes" in answer.content.decode()) == (
        429, True,
    )  # fmt: skip


def test_password_when_kept_then_by_argon2() -> None:
    # What an install has: the tests' own settings hash quickly.
    with override_settings(PASSWORD_HASHERS=project.PASSWORD_HASHERS):
        assert identify_hasher(make_password(WORDS)).algorithm == "argon2"
