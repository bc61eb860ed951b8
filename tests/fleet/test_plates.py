"""Plates: dual ratings as printed, parts nobody could read, and the rating in use."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.plates import Connected, Feed, Plate, connected_rating
from fleet.ratings import UNREADABLE, FullLoad, PlateError, Rating, full_load, parse_ratings

LOW_PAIR = Rating(208, 230, 3.3, 3.2)
HIGH_PAIR = Rating(460, 460, 1.6, 1.6)
DUAL = Plate(volts="208-230/460", full_load_amps="3.3-3.2/1.6")


@pytest.mark.parametrize(
    ("volts", "amps"),
    [("208-230/460", "3.3-3.2/1.6"), ("208-230/460 V", "3.3-3.2/1.6 A"),
     ("208 - 230 / 460 VAC", "3.3 - 3.2 / 1.6 FLA"), ("230-208/460", "3.2-3.3/1.6"),
     ("208 to 230/460", "3.3 to 3.2/1.6"), ("208–230V/460V", "3.3–3.2A/1.6A")],
)  # fmt: skip
def test_dual_rating_is_paired_however_it_is_spaced(volts: str, amps: str) -> None:
    assert parse_ratings(volts, amps) == (LOW_PAIR, HIGH_PAIR)


@pytest.mark.parametrize(
    ("volts", "amps", "expected"),
    [
        ("115/208-230", "8.8/4.4-4.2", (Rating(115, 115, 8.8, 8.8), Rating(208, 230, 4.4, 4.2))),
        ("208/230/460", "3.3-3.2/1.6", (Rating(208, 208, 3.3, 3.3), Rating(230, 230, 3.2, 3.2),
                                        HIGH_PAIR)),
        ("208-230/460", "3.3/3.2/1.6", (LOW_PAIR, HIGH_PAIR)),
        ("208-230", "3.2", (Rating(208, 230, 3.2, 3.2),)),
        ("460", "1.6", (HIGH_PAIR,)),
        ("230/460", "", (Rating(230, 230), Rating(460, 460))),
        ("", "3.2", (Rating(None, None, 3.2, 3.2),)),
        ("", "", ()),
        ("208-230/?", "3.3-3.2/?", (LOW_PAIR, Rating(*[UNREADABLE] * 4))),
        ("208-?", "3.3", (Rating(208, UNREADABLE, 3.3, 3.3),)),
    ],
)  # fmt: skip
def test_rating_is_read_as_printed(volts: str, amps: str, expected: tuple[Rating, ...]) -> None:
    assert parse_ratings(volts, amps) == expected


@pytest.mark.parametrize(
    ("volts", "amps", "message"),
    [
        ("208-230/460", "3.3", "do not pair; give one ampere value for each voltage"),
        ("230", "3.2/1.6", "do not pair"),
        ("230/460", "1.6/3.2", "460 V must draw less than 230 V"),
        ("208-230/460", "3.3/3.2", "look swapped or misplaced"),
        ("high", "", "'high' is no number; write as on the plate"),
        ("208", "16,7", "has a comma; write decimals with a point"),
        ("2,30", "", "has a comma"),
        ("23000", "", "23000 is outside 12 to 1000"),
        ("230", "0", "0 is outside 0.01 to 500"),
        ("200-208-230", "", "more than two ends"),
        ("230/", "", "is no number"),
        ("-230", "", "begins or ends with a dash"),
    ],
)
def test_rating_that_no_plate_says_is_refused(volts: str, amps: str, message: str) -> None:
    with pytest.raises(PlateError, match=message):
        parse_ratings(volts, amps)


@given(st.text(max_size=20), st.text(max_size=20))
def test_any_text_is_read_or_refused_as_a_plate(volts: str, amps: str) -> None:
    try:
        ratings = parse_ratings(volts, amps)
    except PlateError:
        return
    assert all(rating.low_v is not None or rating.low_a is not None for rating in ratings)


@pytest.mark.parametrize("recorded", ["230", "208", "208-230", "215", "230 V"])
def test_connection_recorded_names_its_rating(recorded: str) -> None:
    feed = Feed(connected_volts=recorded, connected_confirmed=True)
    assert connected_rating(DUAL, feed) == Connected(LOW_PAIR, True)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [((202, 200, 200), LOW_PAIR), ((230, 230, 230), LOW_PAIR), ((455, 460, 462), HIGH_PAIR),
     ((250,), LOW_PAIR), ((120, 120, 120), None), ((320, 320, 320), None), ((0, 0, 0), None),
     ((), None)],
)  # fmt: skip
def test_connection_not_recorded_is_suggested_by_volts(
    lines: tuple[float, ...], expected: Rating | None
) -> None:
    suggested = connected_rating(DUAL, Feed(), lines)
    assert suggested == (None if expected is None else Connected(expected, False))


def test_connection_guessed_by_somebody_stays_a_guess() -> None:
    feed = Feed(connected_volts="460", connected_confirmed=False)
    assert connected_rating(DUAL, feed) == Connected(HIGH_PAIR, False)


def test_plate_with_one_rating_is_connected_for_it() -> None:
    plate = Plate(volts="460", full_load_amps="1.6")
    assert connected_rating(plate, Feed()) == Connected(HIGH_PAIR, True)


def test_connection_that_the_plate_does_not_offer_is_refused() -> None:
    with pytest.raises(PlateError, match=r"connected for 575 V, which the plate's '208-230/460'"):
        connected_rating(DUAL, Feed(connected_volts="575"))


def test_connection_may_be_the_rating_nobody_could_read() -> None:
    plate = Plate(volts="?/460", full_load_amps="3.2/1.6")
    feed = Feed(connected_volts="230", connected_confirmed=True)
    assert connected_rating(plate, feed) == Connected(Rating(230, 230, 3.2, 3.2), True)


def test_connection_without_a_plate_gives_volts_only() -> None:
    feed = Feed(connected_volts="230", connected_confirmed=True)
    assert connected_rating(Plate(), feed) == Connected(Rating(230, 230), True)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [((), FullLoad(208, 3.3)), ((219, 219, 219), FullLoad(208, 3.3)),
     ((219, 219, 220), FullLoad(230, 3.2)), ((200,), FullLoad(208, 3.3))],
)  # fmt: skip
def test_full_load_is_of_the_end_nearer_the_mean(
    lines: tuple[float, ...], expected: FullLoad
) -> None:
    assert full_load(LOW_PAIR, lines) == expected


def test_plate_with_an_unknown_unreadable_part_is_refused() -> None:
    with pytest.raises(PlateError, match=r"unreadable names no part of a plate: \['colour'\]"):
        Plate(unreadable=frozenset({"colour"}))


def test_unreadable_part_is_told_from_one_not_recorded() -> None:
    plate = Plate(unreadable=frozenset({"service_factor"}))
    assert (plate.cannot_read("service_factor"), plate.cannot_read("hertz")) == (True, False)
