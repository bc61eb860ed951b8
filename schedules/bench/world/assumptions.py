"""What the simulated world takes for granted, each figure with its standing."""

from dataclasses import dataclass, field, fields, replace

import numpy as np
from numpy.typing import NDArray

CHOICE = "our choice"


def _is(value: float, standing: str) -> float:
    told: float = field(default=value, metadata={"standing": standing})
    return told


@dataclass(frozen=True)
class Assumptions:
    """One world. Rates are per fan and year, lives in years, shares and chances from 0 to 1.

    Sudden failures have a hazard that is 0 in a fan in good order and grows with what drives it;
    parts that wear use up a life drawn from a Weibull distribution, and show signs towards its end
    (a delay-time model: signs from a share of the life on).
    """

    # what stands on the roofs
    belt_share: float = _is(0.4, CHOICE)
    three_phase_share: float = _is(0.6, CHOICE)
    hinged_share: float = _is(0.7, "our choice; NFPA 96 8.1.1.1 wants all hinged")
    greased_share_of_belt: float = _is(0.6, CHOICE)
    coastal_share: float = _is(0.15, CHOICE)
    measuring_share: float = _is(0.8, "our choice: visits on which a meter gives mm/s")

    # shaking, mm/s rms
    start_imbalance_mm_s: float = _is(2.0, "our choice; ISO 14694 lets a new BV-2 fan have 5.6")
    start_imbalance_spread: float = _is(0.45, "our choice: standard deviation of the logarithm")
    imbalance_drift_mm_s: float = _is(0.5, "our choice, in a year")
    grease_shake_mm_s: float = _is(1.5, "our choice, for 1000 um on the wheel, uneven")
    bearing_shake_mm_s: float = _is(5.0, "our choice, of a bearing at its end")
    shock_rate: float = _is(0.05, "our choice: a weight thrown, something drawn in")

    # hood cleaning: every 4, 13, 26 or 52 weeks by the class of cooking (NFPA 96 table 12.4)
    bad_tip_hinged: float = _is(0.03, "our choice, in one cleaning")
    bad_tip_loose: float = _is(0.15, "our choice; fans without a hinge are set on their side")
    tip_step_mm_s: float = _is(4.0, "our choice: median step of a bad tip and of a shock")
    tip_step_spread: float = _is(0.6, "our choice: standard deviation of the logarithm")
    tip_cable_step: float = _is(0.25, "our choice: mean share of a cable's life")
    tip_hinge_damage: float = _is(0.25, CHOICE)
    wheel_missed: float = _is(0.15, "our choice: cleanings that leave the wheel as it is")

    # grease
    grease_share_of_limit: float = _is(
        0.6, "our choice: of 2000 um between two cleanings (NFPA 96 12.6.1.1.3)"
    )
    grease_spread: float = _is(0.5, "our choice: standard deviation of the logarithm")
    vents_block: float = _is(0.5, "our choice: share blocked in a year at high-volume cooking")
    box_fill: float = _is(4.0, "our choice: grease boxes filled in a year at high-volume cooking")

    # corrosion of switch and fastenings, 0 new to 1 useless
    corrosion_inland: float = _is(0.05, "our choice, in a year")
    corrosion_coastal: float = _is(0.2, "our choice, in a year")

    # parts that wear
    bearing_life: float = _is(8.0, "one source: sealed bearings 7 to 10 years")
    bearing_shape: float = _is(2.5, CHOICE)
    bearing_half_mm_s: float = _is(7.0, "our choice: vibration that halves the life")
    dry_factor: float = _is(3.0, "our choice: how much faster a dry bearing wears")
    grease_lasts_weeks: float = _is(26.0, "one source: 12 to 24 h/day every 3 to 6 months")
    belt_life: float = _is(1.0, "trade: replace yearly, 6 to 12 months in high volume")
    belt_shape: float = _is(3.5, CHOICE)
    slack_weeks: float = _is(26.0, "our choice: a tensioned belt is slack after these")
    slack_factor: float = _is(1.5, "our choice: how much faster a slack belt wears")
    cable_life: float = _is(15.0, CHOICE)
    cable_shape: float = _is(3.0, CHOICE)
    cable_half_mm_s: float = _is(8.0, "our choice: vibration that halves the life")
    worn_at: float = _is(0.8, "our choice: share of the life used when signs are plain")
    start_used: float = _is(0.5, "our choice: largest share of a life used at the start")

    # sudden failures, and what drives them
    switch_by_shaking: float = _is(0.5, "our choice: rate at 10 mm/s, with its third power")
    switch_by_corrosion: float = _is(0.2, "our choice: rate of a corroded one, with its square")
    wheel_by_shaking: float = _is(0.3, "our choice: rate at 10 mm/s, with its third power")
    motor_by_supply: float = _is(
        0.25, "our choice: rate at 3 % unbalance or 10 % low, with its square (MG-1: 2 u2 % hotter)"
    )
    motor_by_heat: float = _is(0.2, "our choice: rate with blocked openings, with its square")
    from_nowhere: float = _is(0.08, "our choice: rate of failures no visit prevents")

    # supply
    lasting_fault_rate: float = _is(0.08, "our choice: a bad joint, a wrong tap")
    passing_fault_rate: float = _is(0.3, CHOICE)
    passing_weeks: float = _is(3.0, "our choice, mean")
    fault_unbalance_percent: float = _is(3.0, "our choice, median")
    fault_spread: float = _is(0.4, "our choice: standard deviation of the logarithm")

    # looking, mending, deciding
    vibration_noise: float = _is(0.12, "our choice: standard deviation of the logarithm")
    felt_noise: float = _is(0.35, "our choice: standard deviation of the logarithm")
    grade_noise: float = _is(0.07, "our choice: of a share of a life, judged by hand and eye")
    unbalance_noise_percent: float = _is(0.3, "our choice; meters of 0.5 %")
    missing_share: float = _is(0.1, "our choice: readings not taken")
    unwritten_share: float = _is(0.05, "our choice: readings taken, acted on and not written down")
    cleaning_told: float = _is(0.9, "our choice: cleanings somebody writes down")
    balance_above_mm_s: float = _is(7.1, "our choice, between start-up and alarm of BV-2")
    balance_leaves_mm_s: float = _is(2.5, CHOICE)
    declined_share: float = _is(0.25, "our choice, mean over owners, of repairs they are asked for")
    hinge_declined_share: float = _is(0.85, "our choice, of hinges to be fitted")
    call_finds_cause: float = _is(0.3, "our choice: calls that mend more than what failed")

    def __post_init__(self) -> None:
        for one in fields(self):
            value = getattr(self, one.name)
            if not 0 <= value < np.inf:
                raise ValueError(f"{one.name} is {value}: a figure from 0 up is expected")

    def times(self, name: str, factor: float) -> "Assumptions":
        """The same world with one figure multiplied; shares and chances stop at 1."""
        value = getattr(self, name) * factor
        return replace(self, **{name: min(1.0, value) if name in SHARES else value})


SHARES = frozenset(
    [
        "belt_share",
        "three_phase_share",
        "hinged_share",
        "greased_share_of_belt",
        "coastal_share",
        "measuring_share",
        "bad_tip_hinged",
        "bad_tip_loose",
        "tip_hinge_damage",
        "wheel_missed",
        "worn_at",
        "start_used",
        "missing_share",
        "unwritten_share",
        "cleaning_told",
        "declined_share",
        "hinge_declined_share",
        "call_finds_cause",
    ]
)


def standings() -> dict[str, str]:
    """Each assumption's standing."""
    return {one.name: one.metadata["standing"] for one in fields(Assumptions)}


_USUAL = Assumptions()
WORLDS = {
    "calm": replace(
        _USUAL, bad_tip_hinged=0.01, bad_tip_loose=0.05, lasting_fault_rate=0.04, shock_rate=0.02
    ),
    "rough": replace(_USUAL, bad_tip_hinged=0.12, bad_tip_loose=0.4),
    "coastal": replace(_USUAL, coastal_share=1.0),
    "felt": replace(_USUAL, measuring_share=0.0),
    "sparse": replace(_USUAL, missing_share=0.2, unwritten_share=0.5, cleaning_told=0.3),
}

CLASSES = ("solid_fuel", "high", "moderate", "low")
CLASS_SHARES = np.array([0.05, 0.35, 0.45, 0.15])
CLEANED_EVERY_WEEKS = np.array([4, 13, 26, 52])
# How fast belts, vents and boxes suffer beside high-volume cooking: our choice.
CLASS_WEAR: NDArray[np.float64] = np.array([1.3, 1.0, 0.7, 0.4])
