"""A plan drawn: nothing written over anything, rounds in order, what finds no room not written."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.rounds.map import Mark, Plan, Way, draw_plan
from schedules.rounds.map.drawing import MARK_PX, NAME_PX, NUMBER_PX
from schedules.rounds.map.ground import Place
from schedules.rounds.map.room import Box, Room, box_around

TOWN = st.tuples(st.floats(30.0, 30.4), st.floats(-88.9, -88.5))
KNOT = st.tuples(st.floats(30.1, 30.102), st.floats(-88.6, -88.598))


def stop(number: int, place: Place) -> Mark:
    return Mark(place, "stop", f"A{number}", f"Alder Bakery {number}", f"A{number}", "#a")


def drawn(places: list[Place], base: Place | None = None, *others: Mark) -> Plan:
    way = Way("A", 0, [stop(n, place) for n, place in enumerate(places, 1)], base)
    return draw_plan([way], others, width=328.0, most_height=440.0)


def words_of(plan: Plan) -> list[Box]:
    """The boxes of all that is written."""
    return [
        box_around((label.x, label.y), label.width, height)
        for each in plan.drawn
        for label, height in ((each.number, NUMBER_PX), (each.name, NAME_PX))
        if label
    ]


def touch(one: Box, other: Box) -> bool:
    # places are rounded to tenths of a pixel
    across = one[0] + 0.2 < other[2] and other[0] + 0.2 < one[2]
    return across and one[1] + 0.2 < other[3] and other[1] + 0.2 < one[3]


@given(st.lists(st.one_of(TOWN, KNOT), min_size=1, max_size=25))
def test_words_when_places_crowd_then_none_on_another_on_a_mark_or_off_the_sheet(
    places: list[Place],
) -> None:
    plan = drawn(places)
    words = words_of(plan)
    marks = [box_around((each.x, each.y), MARK_PX, MARK_PX) for each in plan.drawn]
    assert [pair for pair in combinations(words, 2) if touch(*pair)] == []
    assert [box for box in words for mark in marks if touch(box, mark)] == []
    sheet = (-0.1, -0.1, plan.width + 0.1, plan.height + 0.1)
    assert all(box[0] >= sheet[0] and box[2] <= sheet[2] for box in words)


def test_number_when_its_neighbours_crowd_then_off_and_tied_by_a_line() -> None:
    plan = drawn([(30.1, -88.6 + n / 10_000) for n in range(8)] + [(30.4, -88.2)])
    assert [each.is_tied for each in plan.drawn].count(True) > 3
    assert all(each.number for each in plan.drawn)


def test_number_when_there_is_no_room_at_all_then_the_mark_alone_with_its_title() -> None:
    plan = drawn([(30.1, -88.6)] * 200 + [(30.4, -88.2)])
    bare = [each for each in plan.drawn if each.number is None]
    assert (len(bare) > 50, bare[0].name, bare[0].mark.link) == (True, None, "#a")


def test_way_when_its_base_is_known_then_from_there_in_order_and_back() -> None:
    # 0.1 degrees north of the base is the top of the sheet, the base its bottom
    plan = drawn([(30.1, -88.6), (30.2, -88.6)], (30.0, -88.6))
    assert plan.ways[0].points == "164,406 164,220 164,34 164,406"


def test_others_when_aside_and_off_the_sheet_then_not_drawn() -> None:
    near, far = (Mark((30.1, east), "left", "L", aside=True) for east in (-88.6, -80.0))
    plan = drawn([(30.1, -88.61), (30.11, -88.6)], None, near, far)
    assert [each.mark for each in plan.others] == [near]


def test_others_when_nothing_else_is_there_then_drawn_aside_or_not() -> None:
    lone = Mark((30.1, -88.6), "left", "L", aside=True)
    plan = draw_plan([], [lone], width=328.0, most_height=440.0)
    assert [(each.x, each.y) for each in plan.others] == [(164.0, pytest.approx(164.0, abs=56))]


def test_room_when_two_places_are_as_near_then_the_one_off_the_line() -> None:
    room = Room(100.0, 100.0)
    room.ink([(0.0, 30.0), (100.0, 30.0)])
    assert room.best([(0.0, (50.0, 30.0)), (0.0, (50.0, 70.0))], 20.0, 10.0) == (50.0, 70.0)
    assert room.best([(0.0, (50.0, 30.0))], 20.0, 10.0, most_ink=2) is None
