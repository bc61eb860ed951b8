"""What a technician sees on a simulated roof, and what is mended then."""

from dataclasses import dataclass, replace

import numpy as np

from .luck import ASKED, READINGS, WEAR_MODES, WEEKS_OF_AN_ANSWER, Floats
from .roofs import CLEANED_TO_UM, Flags, Whole
from .weeks import (
    BEARING,
    BELT,
    CABLE,
    World,
    failing,
    renew,
    repair_failed,
    supply_fault,
    used,
    vibration_mm_s,
)

# How a hand and an eye grade: 0 nothing, 1 slight, 2 plain, 3 bad. Steps of a share of a life
# below `worn_at`, at it and above; of corrosion from 0 to 1; of felt vibration in mm/s.
GRADE_STEPS = np.array([-0.15, 0.0, 0.12])
CORROSION_STEPS = np.array([0.3, 0.5, 0.8])
FELT_STEPS_MM_S = np.array([4.5, 7.1, 11.0])
SUPPLY_ACT = 0.67
VENTS_ACT = 0.3
SLACK_ACT = 0.5
GREASE_AFTER_WEEKS = 13
PLAIN = 2


@dataclass(frozen=True)
class Seen:
    """Readings of the fans visited, in their order; NaN where nobody took one.

    Vibration in mm/s rms; `felt`, `bearing`, `belt`, `cable`, `corrosion` graded 0 to 3; `slack`
    and `hinge` (sound) 0 or 1; `supply_percent` unbalance on three phases or volts low on one;
    `vents` and `box` a share; `grease_um` on the wheel.
    """

    fans: Whole
    vibration: Floats
    felt: Floats
    bearing: Floats
    belt: Floats
    slack: Floats
    cable: Floats
    corrosion: Floats
    supply_percent: Floats
    vents: Floats
    box: Floats
    grease_um: Floats
    hinge: Floats


@dataclass(frozen=True)
class Mended:
    """What was done for the fans visited (in their order), and what their owners declined."""

    done: dict[str, Flags]
    declined: dict[str, Flags]


def look(world: World, week: int, fans: Whole) -> Seen:
    """One walk-through of `fans` (indices): what is seen and measured as found."""
    a, s = world.a, world.state
    noise = dict(zip(READINGS, world.luck.noise[fans, week].T, strict=True))
    taken = _taken(world, week, fans)
    shaking = vibration_mm_s(world)[fans]
    share = used(world)[fans]

    def graded(value: Floats, reading: str, steps: Floats) -> Floats:
        seen = np.searchsorted(steps, value + a.grade_noise * noise[reading], side="right")
        return np.where(taken[reading], seen, np.nan)

    def plain(value: Floats, reading: str) -> Floats:
        return np.where(taken[reading], value, np.nan)

    worn = a.worn_at + GRADE_STEPS
    felt = np.searchsorted(FELT_STEPS_MM_S, shaking * np.exp(a.felt_noise * noise["felt"]))
    belt = world.roofs.belt[fans]
    unit = np.where(world.roofs.three_phase[fans], 3.0, 10.0)
    supply = supply_fault(world)[fans] * unit + a.unbalance_noise_percent * noise["supply"]
    return Seen(
        fans=fans,
        vibration=plain(shaking * np.exp(a.vibration_noise * noise["vibration"]), "vibration"),
        felt=plain(felt.astype(float), "felt"),
        bearing=graded(share[:, BEARING], "bearing", worn),
        belt=np.where(belt, graded(share[:, BELT], "belt", worn), np.nan),
        slack=np.where(belt, plain((s.slack[fans] >= SLACK_ACT).astype(float), "slack"), np.nan),
        cable=graded(share[:, CABLE], "cable", worn),
        corrosion=graded(s.corrosion[fans], "corrosion", CORROSION_STEPS),
        supply_percent=plain(np.abs(supply), "supply"),
        vents=plain(np.clip(s.vents[fans] + a.grade_noise * noise["vents"], 0, 1), "vents"),
        box=plain(np.clip(s.box[fans], 0, 1), "box"),
        grease_um=plain(s.wheel_um[fans] * np.exp(0.2 * noise["grease"]), "grease"),
        hinge=plain((s.hinge & s.hinge_sound)[fans].astype(float), "hinge"),
    )


def written(world: World, week: int, seen: Seen) -> Seen:
    """What of it comes on record: the readings somebody wrote down."""
    kept = world.a.unwritten_share <= world.luck.unwritten[seen.fans, week].T
    names = ("supply_percent" if one == "supply" else one for one in READINGS)
    names = ("grease_um" if one == "grease" else one for one in names)
    return replace(
        seen,
        **{
            name: np.where(keep, getattr(seen, name), np.nan)
            for name, keep in zip(names, kept, strict=True)
        },
    )


def _taken(world: World, week: int, fans: Whole) -> dict[str, Flags]:
    """Which readings were taken; a meter that is missing is missing beside other neglect."""
    uniform = dict(zip(READINGS, world.luck.missing[fans, week].T, strict=True))
    taken = {name: np.asarray(one >= world.a.missing_share) for name, one in uniform.items()}
    metered = world.a.measuring_share * (1 - world.a.missing_share)
    taken["vibration"] = np.asarray(uniform["vibration"] < metered)
    return taken


def mend(world: World, week: int, seen: Seen) -> Mended:
    """Repair what was found, unless its owner declines; little things are done unasked."""
    wanted = _wanted(world, seen)
    no = _declined(world, week, seen.fans)
    declined = {what: wanted[what] & no[what] for what in ASKED}
    done = {what: want & ~no[what] if what in no else want for what, want in wanted.items()}
    _carry_out(world, seen.fans, done)
    return Mended(done, declined)


def _wanted(world: World, seen: Seen) -> dict[str, Flags]:
    fans, s, r = seen.fans, world.state, world.roofs
    shaken = np.where(
        np.isnan(seen.vibration), seen.felt >= PLAIN, seen.vibration >= world.a.balance_above_mm_s
    )
    unit = np.where(r.three_phase[fans], 3.0, 10.0)
    return {
        "balance": shaken,
        "bearing": seen.bearing >= PLAIN,
        "belt": seen.belt >= PLAIN,
        "tension": seen.slack >= 1,
        "grease": r.greased[fans] & (s.greased_weeks[fans] >= GREASE_AFTER_WEEKS),
        "cable": seen.cable >= PLAIN,
        "switch": seen.corrosion >= PLAIN,
        "supply": (seen.supply_percent >= SUPPLY_ACT * unit) & (s.lasting[fans] > 0),
        "vents": seen.vents >= VENTS_ACT,
        "box": ~np.isnan(seen.box),
        "hinge": (seen.hinge == 0) & s.hinge[fans],
        "hinge_kit": (seen.hinge == 0) & ~s.hinge[fans],
    }


def _declined(world: World, week: int, fans: Whole) -> dict[str, Flags]:
    """Who says no; an owner keeps to an answer for half a year."""
    uniform = world.luck.answers[fans, week // WEEKS_OF_AN_ANSWER]
    share = world.roofs.declines[fans]
    no = {what: np.asarray(uniform[:, number] < share) for number, what in enumerate(ASKED)}
    no["hinge_kit"] = uniform[:, ASKED.index("hinge_kit")] < world.a.hinge_declined_share
    return no


def _carry_out(world: World, fans: Whole, done: dict[str, Flags]) -> None:
    s = world.state
    parts = np.zeros((len(s.part), len(WEAR_MODES)), dtype=bool)
    for column, name in enumerate(WEAR_MODES):
        parts[fans, column] = done[name]
    renew(world, parts)
    left = world.a.balance_leaves_mm_s
    balanced = fans[done["balance"]]
    s.imbalance[balanced] = np.minimum(s.imbalance[balanced], left)
    s.wheel_um[balanced] = np.minimum(s.wheel_um[balanced], 4 * CLEANED_TO_UM)
    s.slack[fans[done["tension"]]] = 0
    s.greased_weeks[fans[done["grease"]]] = 0
    s.corrosion[fans[done["switch"]]] = 0
    s.lasting[fans[done["supply"]]] = 0
    s.vents[fans[done["vents"]]] = 0
    s.box[fans[done["box"]]] = 0
    s.hinge_sound[fans[done["hinge"] | done["hinge_kit"]]] = True
    s.hinge[fans[done["hinge_kit"]]] = True


def mend_what_would_fail(world: World, week: int) -> tuple[Flags, Flags]:
    """Perfect knowledge: whatever would fail this week and need not is put right just before.

    Returns the fans so visited and the failures that remain, shape (fans,) and (fans, modes).
    """
    would = failing(world, week)
    preventable = would.copy()
    preventable[:, -1] = False
    fans = np.flatnonzero(preventable.any(axis=1))
    put_right(world, fans)
    parts = np.zeros((len(would), len(WEAR_MODES)), dtype=bool)
    parts[fans] = preventable[fans, : len(WEAR_MODES)]
    renew(world, parts)
    return np.asarray(preventable.any(axis=1)), would & ~preventable


def call(world: World, week: int, failed: Flags) -> Whole:
    """Repair what failed; some calls find the cause too. Returns the fans (indices) called for."""
    repair_failed(world, failed)
    called = np.flatnonzero(failed.any(axis=1))
    found = world.luck.calls[called, week, 0] < world.a.call_finds_cause
    put_right(world, called[found], hinges=False)
    return called


def put_right(world: World, fans: Whole, *, hinges: bool = True) -> None:
    """Put right all that truly is bad in `fans`, without error, doubt or refusal."""
    s, a = world.state, world.a
    share = used(world)[fans] >= a.worn_at
    every = np.ones(len(fans), dtype=bool)
    done = dict.fromkeys(("balance", "tension", "grease", "supply", "vents", "box", "hinge"), every)
    done["hinge_kit"] = every & hinges
    corroded = s.corrosion[fans] >= CORROSION_STEPS[0]
    by_part = dict(zip(WEAR_MODES, share.T, strict=True))
    _carry_out(world, fans, {**done, "switch": corroded, **by_part})
