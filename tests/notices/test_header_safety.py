"""Whatever stands in names, a message has one subject, one recipient and no header of theirs."""

from __future__ import annotations

from email.message import EmailMessage

import pytest

from fleet.models import Owner
from schedules.models import Notice
from schedules.notices.letter import LONGEST_SUBJECT, one_line
from schedules.notices.sending import Sent, message_of, send_notices
from tests.notices.letters import ADDRESS, MONDAY, mail_server, overdue_fan, write

pytestmark = [pytest.mark.django_db, pytest.mark.once]
LEAST_HEADERS = {
    "Content-Type", "MIME-Version", "Subject", "From", "To", "Date", "Message-ID",
    "Auto-Submitted", "List-Unsubscribe",
}  # fmt: skip
# What Python's str.splitlines takes for a line's end, and what turns the direction of text:
# Unicode Standard, 5.8 and UAX #9.
BREAKS = ["\r\n", "\r", "\n", "\x0b", "\x0c", "\x1c", "\x1d", "\x1e", "\x85", "\u2028", "\u2029"]
NAMES = [
    *(f"Mill{sign}Bcc: all@else.example" for sign in BREAKS),
    "Mill\r\n\r\n<p>STOP: pay here</p>",
    "Mill \u202egnp.exe",
    'The "Mill" & Sons <boss@mill.example>',
    "Mill, Kitchen; of: Orrinshaw",
    "Zum Mühlrad 🍜👩‍🍳",
    "=?utf-8?B?QmNjOiBhbGw=?=",
    "M" * 120,
    "水車 " * 40,
]


def sent_as(name: str) -> tuple[Sent, list[EmailMessage]]:
    """An overdue letter of a site of that name, through a real server."""
    fan = overdue_fan()
    fan.site.name = name[:120]
    fan.site.save()
    write()
    with mail_server() as inbox:
        report = send_notices(clock=lambda: MONDAY)
    return report, inbox.taken


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_name_then_stays_in_the_subject_and_adds_no_header(name: str) -> None:
    report, (mail,) = sent_as(name)
    assert (report, set(mail.keys())) == (Sent(1), LEAST_HEADERS)
    assert mail["To"] == ADDRESS
    # a subject of encoded words begins on a line of its own, with the blank that continues it
    subject = str(mail["Subject"]).lstrip(" ")
    told = f"Overdue: exhaust fan EF-1 at {one_line(name[:120])}".replace("=?", "= ?")
    assert subject in (told, told[: LONGEST_SUBJECT - 1] + "…")
    assert len(subject.splitlines()) == 1


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_name_then_makes_no_line_of_its_own_in_text_or_page(name: str) -> None:
    sent_as(name)
    notice = Notice.objects.get()
    assert not [line for line in notice.text.splitlines() if line.startswith(("Bcc", "<p>STOP"))]
    assert ("<p>STOP" in notice.html, "\u202e" in notice.text + notice.html) == (False, False)


@pytest.mark.parametrize("sign", ["\u200d", "\u200c"])
def test_name_when_its_script_needs_joiners_then_keeps_them(sign: str) -> None:
    assert sign in one_line(f"a{sign}b")


ADDRESSES = {
    # RFC 5321, 4.1.2: a local part may be a quoted string
    '"mill,kitchen"@alder.example': '"mill,kitchen"@alder.example',
    '"all@else.example"@alder.example': '"all@else.example"@alder.example',
    "mill+fans@alder.example": "mill+fans@alder.example",
    "<office@alder.example": "office@alder.example",
    # RFC 5891: a domain of other letters goes out in ASCII
    "office@mühlrad.example": "office@xn--mhlrad-3ya.example",
}


@pytest.mark.parametrize(("address", "goes_to"), ADDRESSES.items())
def test_address_then_is_one_recipient(address: str, goes_to: str) -> None:
    overdue_fan()
    Owner.objects.update(email=address)
    write()
    with mail_server() as inbox:
        send_notices(clock=lambda: MONDAY)
    assert inbox.recipients == [goes_to]


@pytest.mark.parametrize(
    "address",
    [
        "Office <office@alder.example>, all@else.example",
        "office@alder.example\r\nBcc: all@else.example",
        "office@alder.example\u2028Bcc: all@else.example",
        "office@alder.example, all@else.example",
        "@alder.example",
        "",
    ],
    ids=ascii,
)
def test_address_that_is_none_then_given_up_and_nothing_goes(address: str) -> None:
    owner = overdue_fan().site.owner
    Notice.objects.create(
        kind="overdue", addressee="owner-1", period="2026-W25", owner=owner, address=address,
        subject="Overdue", text="Text", html="<p>Page</p>", owed_at=MONDAY, send_after=MONDAY,
    )  # fmt: skip
    with mail_server() as inbox:
        assert send_notices(clock=lambda: MONDAY) == Sent(given_up=1)
    assert inbox.taken == []
    assert "No such message can be" in Notice.objects.get().fault


def test_message_then_says_that_nobody_wrote_it() -> None:
    # RFC 3834, section 5: so that no vacation answer comes back
    overdue_fan()
    write()
    assert message_of(Notice.objects.get()).message()["Auto-Submitted"] == "auto-generated"
