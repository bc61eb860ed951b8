"""Chances against Bayes' rule worked by hand, and what evidence may and may not do to them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fleet.failure_terms import MECHANISMS
from schedules.engine.causes import UNLISTED, CauseParams, Past, Seen, Work, default_table
from schedules.engine.causes.evidence import FINDERS
from schedules.engine.causes.ranking import why_failed
from schedules.engine.causes.table import Table, read_table
from schedules.engine.errors import ParameterError

DAY = 740_000
BLANK = Past("switch", DAY, DAY)


def small_table(causes: str) -> Table:
    """All evidence at a usual share of one tenth, each in the group named for its first letter."""
    rows = "\n".join(
        f'{code} = {{ usual = 0.1, group = "{code[0]}", look = "see", standing = "our choice" }}'
        for code in FINDERS
    )
    silent = f"silent = {list(MECHANISMS)}\n[mechanism]\n"
    return read_table(f"[evidence]\n{rows}\n[looks]\nsee = {{}}\n", silent, causes)


def cause(name: str, evidence: str, weight: float = 1) -> str:
    return (
        f'[[cause]]\nitems = ["switch"]\ncause = "{name}"\nweight = {weight}\n'
        f'standing = "our choice"\nevidence = {{ {evidence} }}\n'
    )


TWO = cause("vibration", "shaking = 0.8, unsteady = 0.9") + cause("corrosion", "corroded = 0.6")


def chances(past: Past, table: Table, **counts: int) -> dict[str, float]:
    told = why_failed(past, counts, table=table)
    return {each.cause: each.chance for each in told.causes} | {UNLISTED: told.unlisted}


def seen(**states: str) -> Seen:
    """A look two days before the failure; the verdict stands beside the state."""
    verdicts = {"vibration_felt": {"none": "within", "slight": "watch", "strong": "act"}}
    told = {name: verdicts[name][code] for name, code in states.items() if name in verdicts}
    return Seen(DAY - 2, told, states)


def test_chances_when_nothing_is_known_then_priors() -> None:
    """0.4, 0.4 and 0.2, of which 0.05 always goes to what is on no list."""
    assert chances(BLANK, small_table(TWO)) == pytest.approx(
        {"vibration": 0.38, "corrosion": 0.38, UNLISTED: 0.24}
    )


def test_chances_when_one_piece_is_there_then_by_bayes_rule() -> None:
    """Rust alone: 0.4 x 1, 0.4 x 0.6 / 0.1, 0.2 x 1 over their sum 3.0; then 0.95 of each."""
    past = replace(BLANK, looks=(seen(corrosion="surface"),))
    assert chances(past, small_table(TWO)) == pytest.approx(
        {"vibration": 0.95 * 0.4 / 3, "corrosion": 0.95 * 2.4 / 3, UNLISTED: 0.95 * 0.2 / 3 + 0.05}
    )


def test_chances_when_looked_for_in_vain_then_less_than_unknown() -> None:
    """No rust: 0.4 x (1 - 0.6) / (1 - 0.1) = 0.17778 against 0.4 and 0.2."""
    past = replace(BLANK, looks=(seen(corrosion="none"),))
    told = chances(past, small_table(TWO))
    assert told["corrosion"] == pytest.approx(0.95 * 0.177778 / 0.777778, rel=1e-5)


def test_chances_when_two_pieces_tell_the_same_then_the_stronger_counts_once() -> None:
    """Strong shaking is both pieces; of one group only the ratio 0.9 / 0.1 counts, not 72."""
    one_group = small_table(TWO.replace("unsteady", "switch_loose"))
    past = replace(BLANK, looks=(seen(vibration_felt="strong", switch_feel="loose"),))
    assert chances(past, one_group)["vibration"] == pytest.approx(0.95 * 3.6 / 4.2)


def test_chances_when_causes_were_confirmed_then_counts_join_the_prior() -> None:
    """Ten failures' worth of prior, 4, 4 and 2, and six confirmed of one: 4, 10, 2 of 16."""
    assert chances(BLANK, small_table(TWO), corrosion=6) == pytest.approx(
        {"vibration": 0.95 * 0.25, "corrosion": 0.95 * 0.625, UNLISTED: 0.95 * 0.125 + 0.05}
    )


def test_chances_when_confirmed_causes_are_on_no_list_then_they_are_the_unlisted_ones() -> None:
    told = why_failed(BLANK, {"lost_phase": 5, "a mouse": 3}, table=small_table(TWO))
    assert told.unlisted == pytest.approx(0.95 * 10 / 18 + 0.05)


def test_cause_when_other_was_written_down_900_times_then_not_hidden_by_it() -> None:
    """Capped at 0.6: 0.2, 0.2 x 6 of the rust seen and 0.6 of 2.0; uncapped it had 3 %."""
    past = replace(BLANK, looks=(seen(corrosion="surface"),))
    told = chances(past, small_table(TWO), other=900)
    assert told["corrosion"] == pytest.approx(0.95 * 1.2 / 2.0)


def test_unlisted_when_this_machine_can_have_no_listed_cause_then_all_of_it() -> None:
    past = replace(BLANK, mode="FTS")
    table = small_table(TWO.replace("weight = 1", 'weight = 1\nmodes = ["NOO"]'))
    told = why_failed(past, {"other": 900}, table=table)
    assert (told.causes, told.unlisted) == ((), pytest.approx(1))


def test_confirmed_causes_when_negative_then_refused() -> None:
    with pytest.raises(ParameterError, match="counts from 0"):
        why_failed(BLANK, {"wear": -1})


def test_cause_when_only_others_are_ruled_out_then_not_shown() -> None:
    """What is left over by elimination has nothing on record that speaks for it."""
    past = replace(BLANK, looks=(seen(corrosion="none", vibration_felt="none"),))
    told = why_failed(past, {"vibration": 900}, table=small_table(TWO))
    assert [(each.cause, each.band) for each in told.causes] == [
        ("vibration", "not_shown"), ("corrosion", "not_shown"),
    ]  # fmt: skip


def test_bands_when_out_of_order_then_refused() -> None:
    with pytest.raises(ParameterError, match="possible below likely"):
        CauseParams(likely=0.8)


def test_looks_when_not_qualified_then_none_is_live() -> None:
    past = Past("breaker", DAY, DAY, motor_type="three_phase", looks=(seen(motor_vents="clear"),))
    offered = {item: why_failed(replace(past, item=item)) for item in default_table().candidates}
    assert not [look for told in offered.values() for look in told.looks if look.live]
    live = why_failed(replace(past, item="overload"), qualified=True).looks
    assert any(look.live for look in live)


def test_looks_when_something_is_known_then_it_is_not_asked_again() -> None:
    known = replace(BLANK, looks=(seen(corrosion="surface"),))
    before, after = (why_failed(past, table=small_table(TWO)).looks for past in (BLANK, known))
    assert [look.code for look in before] == ["see"] == [look.code for look in after]
    narrow = small_table(cause("corrosion", "corroded = 0.6"))
    assert why_failed(known, table=narrow).looks == ()


def test_order_when_records_come_otherwise_then_the_same() -> None:
    works = (Work("replaced", "switch", DAY - 30), Work("cleaned", "wheel", DAY - 60))
    past = replace(BLANK, works=works, looks=(seen(corrosion="deep"),))
    assert why_failed(past) == why_failed(replace(past, works=works[::-1]))


@pytest.mark.parametrize("item", ["shaft", "wheel", "bearings"])
def test_what_turns_when_it_shook_and_ground_only_as_it_failed_then_nothing_is_likely(
    item: str,
) -> None:
    """A broken shaft shakes and a rubbing wheel grinds: how they failed, not why."""
    failing = Seen(DAY, {"vibration_felt": "stop"}, {"noise": "grinding", "wheel": "rubbing"})
    answer = why_failed(Past(item, DAY, DAY, looks=(failing,)))
    assert not [each for each in answer.causes if each.band in ("likely", "most_likely")]
