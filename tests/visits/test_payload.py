"""What a record may say and how it is told what is wrong."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.visits.roofs import check, visit
from visits.payload import PayloadError, parse_json, read_record
from visits.payload.complaints import shown
from visits.payload.record import content_id, payload_sha256


def complaints(data: Any) -> list[str]:
    """Every complaint about a record."""
    with pytest.raises(PayloadError) as caught:
        read_record(data)
    return [str(complaint) for complaint in caught.value.complaints]


def replaced(**plate: Any) -> dict[str, Any]:
    """The part of a visit at which a machine was replaced."""
    swap = {"fan": "EF-1", "kind": "replaced", "item": "machine", "machine": plate}
    return {"actions": [swap]}


def advised(**parts: Any) -> dict[str, Any]:
    """The part of a visit with a recommendation."""
    return {"recommendations": [{"fan": "EF-1", "subject": "hinge", "text": "new hinge", **parts}]}


def test_example_file_when_read_then_every_line_passes(root: Path) -> None:
    lines = (root / "fixtures/examples/visits.jsonl").read_text().splitlines()
    types = [type(read_record(parse_json(line))).__name__ for line in lines]
    assert sorted(set(types)) == ["AnswerEntry", "ClosingEntry", "EventEntry", "VisitEntry"]


def test_visit_when_several_things_are_wrong_then_all_are_told() -> None:
    data = visit(
        check(seen={"hinge": "losse"}, readings={"volts_ab": "9 kV"}), kind="walk", on="2026-02-30"
    )
    assert [text.split(":")[0] for text in complaints(data)] == [
        "/kind", "/began_at", "/checks/0/readings/volts_ab", "/checks/0/seen/hinge",
    ]  # fmt: skip


def test_unknown_key_when_nearly_known_then_the_known_one_is_named() -> None:
    (text,) = complaints(visit(check(reading={})))
    assert text.startswith(
        '/checks/0/reading: this key is not known (seen: "reading"); did you mean readings?'
    )


class Key(str):
    """A key that counts how often it is held against another."""

    __slots__ = ()
    compared = 0

    def __eq__(self, other: object) -> bool:
        Key.compared += 1
        return str.__eq__(self, other)

    __hash__ = str.__hash__


def test_keys_when_thousands_hold_hidden_characters_then_few_are_held_against_each_other() -> None:
    Key.compared = 0
    complaints({Key(f"\u200b{number}"): 1 for number in range(2_000)})
    assert Key.compared < 20_000


@pytest.mark.parametrize("part", ["readings", "seen", "recheck"])
def test_check_when_a_thousand_names_are_unknown_then_a_hundred_are_told(part: str) -> None:
    told = complaints(
        visit(check(**{part: {f"k{number}": "2026-03-02" for number in range(1_000)}}))
    )
    assert (len(told), told[-1]) == (
        101, "900 more things are wrong; put right what is told, send it again",
    )  # fmt: skip


def test_names_when_dozens_are_misspelt_then_the_first_dozen_are_guessed() -> None:
    told = complaints(visit(check(readings={f"volts_ab_{number}": 208 for number in range(50)})))
    assert ["did you mean" in text for text in told] == [True] * 12 + [False] * 38


def test_visit_when_only_the_least_is_given_then_accepted() -> None:
    data = {"owner": "A", "site": "B", "kind": "service_call", "began_at": "2019-05-01"}
    assert read_record(data).checks == ()


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        # a text far longer than any name
        ({"owner": "x" * 300}, "/owner"),
        # a NUL, which PostgreSQL cannot store
        ({"notes": "a\0b"}, "/notes"),
        # half of a surrogate pair is no character (RFC 3629)
        ({"notes": "\ud800"}, "/notes"),
        # half characters in keys: the record's own, and those that are names
        ({"\ud800": 1}, "/\\ud800"),
        ({"checks": [check(readings={"\ud800": 1})]}, "/checks/0/readings/\\ud800"),
        ({"checks": [check(seen={"\ud800": "x"})]}, "/checks/0/seen/\\ud800"),
        # marks nobody sees: writing turned round, a space of no width (Unicode Standard, chapter 4)
        ({"notes": "a\u202eb"}, "/notes"),
        ({"technician": "\u200b"}, "/technician"),
        # told at its place: the register named all of 50,000 in one sentence of half a megabyte
        (replaced(volt="230"), "/actions/0/machine/volt"),
        (replaced(model="a\0b"), "/actions/0/machine/model"),
        (replaced(unreadable=["\ud800"]), "/actions/0/machine/unreadable/0"),
        (replaced(model={"a": 1}), "/actions/0/machine/model"),
        # 99999999.995 rounds up to one digit more than the column has
        (advised(cost="99999999.999"), "/recommendations/0/cost"),
        (advised(cost="-0.001"), "/recommendations/0/cost"),
        (advised(cost="1e30"), "/recommendations/0/cost"),
        ({"id": "42"}, "/id"),
        # RFC 9562, 4: hexadecimal figures, hyphens at four places
        ({"id": "0f_e7a52-5d0c-4c1e-9a51-1d2f0c9b0a01"}, "/id"),
        ({"id": "0f0e7a525d0c-4c1e-9a51-1d2f-0c9b0a01"}, "/id"),
        ({"id": "\uff10f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a01"}, "/id"),
        # nil and max name nothing (RFC 9562, 5.9 and 5.10)
        ({"id": "00000000-0000-0000-0000-000000000000"}, "/id"),
        ({"id": "FFFFFFFF-FFFF-FFFF-FFFF-FFFFFFFFFFFF"}, "/id"),
        (advised(id="00000000-0000-0000-0000-000000000000"), "/recommendations/0/id"),
        ({"ended_at": "2026-04-03"}, "/ended_at"),
        ({"ended_at": "2036-03-02T10:00Z"}, "/ended_at"),
        ({"checks": {}}, "/checks"),
        ({"checks": [check()] * 201}, "/checks"),
        ({"checks": [check(), check()]}, "/checks/1"),
        ({"checks": [check(lasting=["hindge"])]}, "/checks/0/lasting/0"),
        ({"checks": [check(recheck={"hinge": "soon"})]}, "/checks/0/recheck/hinge"),
        ({"findings": [{"fan": "EF-1", "severity": "degraded"}]}, "/findings/0/subject"),
        ({"actions": [{"fan": "EF-1", "kind": "replaced"}]}, "/actions/0/item"),
        (
            {"actions": [{"fan": "EF-1", "kind": "replaced", "item": "machine"}]},
            "/actions/0/machine",
        ),
        ({"not_reached": [{"fan": "EF-1", "reason": "lazy"}]}, "/not_reached/0/reason"),
        ({"supersedes": "0f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0a01"}, "/correction_reason"),
        ({"correction_reason": "typo"}, "/supersedes"),
    ],
)
def test_visit_when_one_thing_is_wrong_then_its_pointer_is_told(
    change: dict[str, Any], pointer: str
) -> None:
    assert [text.split(":")[0] for text in complaints({**visit(), **change})] == [pointer]


OF_A_FAN = {
    "findings": {"subject": "wheel", "severity": "degraded"},
    "actions": {"kind": "cleaned", "item": "wheel"},
    "recommendations": {"subject": "wheel", "text": "have it balanced"},
    "decisions": {"subject": "wheel", "answer": "declined", "on": "2026-03-02"},
    "not_reached": {"item": "wheel", "reason": "weather"},
    "made_safe": {"told": "the chef"},
}


@pytest.mark.parametrize("part", OF_A_FAN)
def test_visit_when_one_fan_has_more_rows_than_there_are_things_to_tell_then_refused(
    part: str,
) -> None:
    """Each is reckoned with at every later visit.  Our choice; 58 things can be named of a fan."""
    rows = [{"fan": "EF-1", **OF_A_FAN[part]}] * 60 + [{"fan": "ef-1", **OF_A_FAN[part]}] * 40
    assert len(getattr(read_record({**visit(), part: rows}), part)) == 100
    others = [{"fan": "EF-2", **OF_A_FAN[part]}] * 100
    (told,) = complaints({**visit(), part: [*rows, rows[0], *others]})
    assert told.startswith(f"/{part}: {part} has 101 entries of EF-1; at most 100 of one fan fit")


def test_note_when_it_joins_characters_or_breaks_lines_then_kept_as_written() -> None:
    # a pictograph of three characters, and a Persian word that must not join (Unicode, chapter 23)
    note = "\U0001f468\u200d\U0001f527 here\r\n\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645"
    assert read_record({**visit(), "notes": note}).notes == note


def test_cost_when_the_greatest_that_fits_then_kept() -> None:
    (advice,) = read_record({**visit(), **advised(cost="99999999.99")}).recommendations
    assert str(advice.cost) == "99999999.99"


@pytest.mark.parametrize("called", ["disconnect", "Disconnecting switch", "switch"])
def test_switch_when_called_otherwise_then_the_one_item_that_is_mended(called: str) -> None:
    # "Disconnecting means" is the word of NEC 430 IX: people say disconnect, switch, or both.
    work = {"fan": "EF-1", "kind": "replaced", "item": called}
    (action,) = read_record({**visit(), "actions": [work]}).actions
    assert action.item == "switch"


def test_place_when_missing_then_both_ways_to_name_it_are_told() -> None:
    data = {key: value for key, value in visit().items() if key not in ("owner", "site")}
    assert [text.partition("; ")[2] for text in complaints(data)] == [
        "give owner and site as in the register, or site_id instead of both"
    ] * 2


def test_stop_when_marked_lasting_then_refused() -> None:
    finding = {"fan": "EF-1", "item": "switch", "severity": "critical", "lasting": True}
    assert complaints(visit(findings=[finding]))[0].startswith("/findings/0/lasting: a stop cannot")


def test_pointer_when_a_name_holds_a_slash_then_escaped_as_rfc_6901_says() -> None:
    # RFC 6901 section 3: "/" becomes "~1", "~" becomes "~0".
    (text,) = complaints(visit(check(readings={"a/b~c": 1})))
    assert text.startswith("/checks/0/readings/a~1b~0c: ")


@pytest.mark.parametrize(
    "line",
    [
        # RFC 8259 section 6 permits neither; Python's reader would.
        '{"a": NaN}',
        '{"a": -Infinity}',
        '{"a": 1, "a": 2}',
        "{",
        "[" * 100_000,
        '{"a": ' + "9" * 5_000 + "}",
    ],
)
def test_line_when_not_plain_json_then_refused(line: str) -> None:
    with pytest.raises(PayloadError, match=r"JSON|digits"):
        parse_json(line)


@pytest.mark.parametrize("depth", [25, 500, 900])
def test_record_when_nested_far_too_deep_then_refused(depth: int) -> None:
    with pytest.raises(PayloadError, match="levels deep"):
        read_record(parse_json('{"notes": ' * depth + "1" + "}" * depth))


def test_hash_when_keys_come_in_another_order_then_the_same() -> None:
    data = visit(check(seen={"hinge": "sound", "guard": "on"}))
    turned = json.loads(json.dumps(data, sort_keys=True))
    assert payload_sha256(data) == payload_sha256(turned)


def test_id_when_in_capitals_or_with_blanks_then_the_same_record() -> None:
    data = visit(id="0b0e8f3c-5c0d-4a53-9c6e-0a4f1d2b3c4d")
    written = [data, data | {"id": data["id"].upper()}, data | {"id": f" {data['id']} "}]
    assert {read_record(each).sha256 for each in written} == {payload_sha256(data)}


def test_id_when_left_out_then_made_from_the_content() -> None:
    data = {key: value for key, value in visit().items() if key != "id"}
    assert (read_record(data).id, content_id({**data, "notes": "x"}) == content_id(data)) == (
        content_id(data),
        False,
    )


def test_event_when_a_place_is_both_cleaned_and_not_then_refused() -> None:
    event = {
        "type": "event", "kind": "hood_cleaning", "owner": "A", "site": "B",
        "started": "2026-02-01", "places_cleaned": ["duct"], "places_not_cleaned": ["duct"],
    }  # fmt: skip
    assert complaints(event)[0].startswith("/places_not_cleaned: ")


EVENT = {"type": "event", "owner": "A", "site": "B", "started": "2026-01-01T22:00"}


@pytest.mark.parametrize(
    ("kind", "taken", "refused"),
    [
        ("hood_cleaning", "2026-02-01", "2026-02-02"),
        ("storm", "2026-02-01T23:59", "2026-02-02T00:00"),
        ("power_event", "2027-01-02", "2027-01-03"),
        ("breaker_reset", "2027-01-02", "2027-01-03"),
        ("kitchen_change", "2028-01-02", "2028-01-03"),
    ],
)
def test_event_when_longer_than_any_of_its_kind_then_refused(
    kind: str, taken: str, refused: str
) -> None:
    # Our choice: 31 days, 366 and 731, counted in local days as written.
    event = {**EVENT, "kind": kind}
    read_record({**event, "ended": taken})
    (text,) = complaints({**event, "ended": refused})
    called = kind.replace("_", " ")
    assert (text.partition(" (")[0][:17], f"; the longest {called} taken is" in text) == (
        "/ended: it lasts ", True,
    )  # fmt: skip


def test_event_when_kind_and_days_are_wrong_then_both_are_told() -> None:
    told = complaints({**EVENT, "kind": "dance", "ended": "2036-01-01"})
    assert [text.split(":")[0] for text in told] == ["/kind", "/ended"]


def test_event_when_it_began_on_no_day_then_nothing_is_told_of_its_length() -> None:
    (text,) = complaints({**EVENT, "kind": "storm", "started": "2026-02-30", "ended": "2026-03-01"})
    assert text == (
        '/started: started is a day that no calendar has (seen: "2026-02-30"); '
        "check month and day, and write it as 2026-03-02"
    )


def test_decision_when_about_nothing_then_fan_and_subject_are_asked_for() -> None:
    data = {"type": "decision", "answer": "declined", "on": "2026-02-01"}
    assert [text.split(":")[0] for text in complaints(data)] == [
        "/fan", "/subject", "/owner", "/site",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("value", "text"),
    [("Küche", '"Küche"'), ("a\u202eb\n", '"a\\u202eb\\n"'), ("\ud800", '"\\ud800"')],
)
def test_value_when_shown_then_as_typed_but_for_what_no_screen_should_be_sent(
    value: str, text: str
) -> None:
    assert shown(value) == text
