"""Addresses that a server refuses for good: marked, told, held, and lifted; over real SMTP."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Owner, OwnerLink, Person
from schedules.models import Notice, RefusedAddress
from schedules.notices.outbox import LEASE, claim
from schedules.notices.refusals import (
    KEPT,
    is_about_address,
    mark_refused,
    refused_addresses,
    try_again,
)
from schedules.notices.sending import Sent, send_notices
from schedules.notices.writing import write_notices
from tests.notices.letters import ADDRESS, MONDAY, mail_server, overdue_fan, told, write

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
GONE = "550 5.1.1 no such mailbox"
NEW = "new@alder.example"


def send(at: dt.datetime = MONDAY) -> Sent:
    return send_notices(clock=lambda: at)


def refused_letter() -> Notice:
    """A letter whose address the server refused on that Monday."""
    overdue_fan()
    write()
    with mail_server() as inbox:
        inbox.refuses[ADDRESS] = GONE
        assert send() == Sent(refused=1)
    return Notice.objects.get()


def sent(at: dt.datetime) -> list[str]:
    """Whom mail reaches at a server that takes everything."""
    with mail_server() as inbox:
        send(at)
    return [str(mail["To"]) for mail in inbox.taken]


# RFC 5321, 4.2.1: 5yz is permanent; RFC 3463, 3.2 and 3.8: which 5.x.y are about the recipient.
@pytest.mark.parametrize(
    ("code", "said", "about_it"),
    [
        (550, "5.1.1 no such mailbox", True),
        (550, "no such user here", True),
        (553, "5.1.3 bad destination mailbox address syntax", True),
        (550, "5.2.1 mailbox disabled", True),
        (450, "4.2.1 try later", False),
        (554, "5.7.1 relay access denied", False),
        (550, "5.7.26 sender is not authenticated", False),
        (550, "5.1.8 bad sender's system address", False),
    ],
)
def test_answer_to_a_recipient_then_only_what_blames_the_address_marks_it(
    code: int, said: str, about_it: bool
) -> None:
    assert is_about_address(code, said) == about_it


def test_address_refused_then_marked_and_the_letter_held() -> None:
    letter = refused_letter()
    assert (letter.sent_at, letter.given_up_at, letter.claim) == (None, None, None)
    (row,) = refused_addresses()
    assert (row.address, row.since, row.names, row.held) == (
        ADDRESS,
        MONDAY,
        ("Alder Kitchens",),
        1,
    )
    assert "550: 5.1.1 no such mailbox" in row.why


def test_address_refused_for_a_while_then_not_marked() -> None:
    overdue_fan()
    write()
    with mail_server() as inbox:
        inbox.refuses[ADDRESS] = "450 4.2.1 try later"
        assert send() == Sent(put_off=1)
    assert refused_addresses() == []


def test_policy_of_the_server_then_the_letter_is_given_up_and_no_address_marked() -> None:
    overdue_fan()
    write()
    with mail_server() as inbox:
        inbox.refuses[ADDRESS] = "554 5.7.1 relay access denied"
        assert send() == Sent(given_up=1)
    assert refused_addresses() == []


def test_address_refused_then_nothing_more_goes_there() -> None:
    refused_letter()
    write(MONDAY + 7 * DAY)
    assert (sent(MONDAY + 7 * DAY), len(told("overdue"))) == ([], 2)


def test_address_refused_when_told_to_try_again_then_letters_go() -> None:
    refused_letter()
    assert try_again(address=ADDRESS, now=MONDAY + DAY)
    assert (sent(MONDAY + DAY), refused_addresses()) == ([ADDRESS], [])


def test_address_never_refused_when_told_to_try_again_then_says_no() -> None:
    assert not try_again(address=ADDRESS, now=MONDAY)


def test_address_refused_when_tried_late_then_what_is_out_of_date_stays() -> None:
    refused_letter()
    late = MONDAY + KEPT + DAY
    try_again(address=ADDRESS, now=late)
    assert (sent(late), "out of date" in Notice.objects.get().fault) == ([], True)


def test_address_refused_when_the_register_names_another_then_the_letter_goes_there() -> None:
    refused_letter()
    Owner.objects.update(email=NEW)
    write_notices(now=MONDAY + DAY)
    assert (sent(MONDAY + DAY), refused_addresses()) == ([NEW], [])
    assert OwnerLink.objects.get().sent_to == NEW


def test_address_refused_when_a_contact_has_another_then_the_letter_goes_there() -> None:
    owner = refused_letter().owner
    Person.objects.create_user("olga", NEW, role="owner", owner=owner)
    write_notices(now=MONDAY + DAY)
    assert (sent(MONDAY + DAY), len(refused_addresses())) == ([NEW], 1)


def test_address_refused_when_taken_out_of_the_register_then_the_letter_is_given_up() -> None:
    refused_letter()
    Owner.objects.update(email="")
    write_notices(now=MONDAY + DAY)
    assert (Notice.objects.get().given_up_at, refused_addresses()) == (MONDAY + DAY, [])


def test_address_refused_again_then_keeps_its_first_day_and_words() -> None:
    for days, why in enumerate((GONE, "550 5.2.1 disabled")):
        mark_refused(address=ADDRESS, why=why, now=MONDAY + days * DAY)
    row = RefusedAddress.objects.get()
    assert (row.since, row.why) == (MONDAY, GONE)


def test_letter_in_hand_while_its_address_is_refused_then_left_to_its_sender() -> None:
    overdue_fan()
    write()
    held = claim(MONDAY)
    assert held
    RefusedAddress.objects.create(address=ADDRESS, since=MONDAY, why=GONE)
    Owner.objects.update(email=NEW)
    write_notices(now=MONDAY)
    assert Notice.objects.get().address == ADDRESS
    write_notices(now=MONDAY + LEASE)
    assert Notice.objects.get().address == NEW


def test_person_refused_then_named_with_the_owners_own() -> None:
    owner = overdue_fan().site.owner
    Owner.objects.update(phone="555-0117")
    Person.objects.create_user("olga", ADDRESS, role="owner", owner=owner, first_name="Olga")
    RefusedAddress.objects.create(address=ADDRESS, since=MONDAY, why=GONE)
    (row,) = refused_addresses()
    assert (row.names, row.phones) == (("Alder Kitchens", "Olga"), ("555-0117",))
