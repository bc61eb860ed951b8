"""Figures of policies for reading: a table, and visits against avoidable failures as a picture."""

from __future__ import annotations

from collections.abc import Sequence

from schedules.bench.policies.figures import Aim, Figures, PolicyFigures
from schedules.bench.policies.sensitivity import Case, Shaken

WIDTH, HEIGHT = 60, 16
MARKS = {"fixed": "o", "engine": "*", "none": "n", "perfect": "p"}


def policies_told(figures: Figures) -> str:
    """Each world's table, picture and aims."""
    parts = [f"{figures.fans} fans, {figures.weeks} weeks, seeds {list(figures.seeds)}"]
    for world in dict.fromkeys(policy.world for policy in figures.policies):
        here = [policy for policy in figures.policies if policy.world == world]
        parts += [f"\n{world}", *map(_line, here), "", picture(here), ""]
        parts += [_aim(aim) for aim in figures.aims if aim.world == world]
    return "\n".join(parts)


def shaken_told(shaken: Shaken) -> str:
    """Every case, the weakest again at the end."""
    head = f"{shaken.world}, {shaken.policy}, {shaken.fans} fans, seeds {list(shaken.seeds)}"
    return "\n".join([head, *map(_case, shaken.cases), "weakest:", _case(shaken.weakest)])


def picture(policies: Sequence[PolicyFigures]) -> str:
    """Avoidable failures a fan and year (upwards) against visits (to the right), as text."""
    shown = [policy for policy in policies if policy.name != "none"]
    most_x = max(policy.visits_per_fan_year for policy in shown) or 1.0
    most_y = max(policy.avoidable_per_fan_year for policy in shown) or 1.0
    rows = [[" "] * (WIDTH + 1) for _ in range(HEIGHT + 1)]
    for policy in shown:
        x = round(WIDTH * policy.visits_per_fan_year / most_x)
        y = round(HEIGHT * policy.avoidable_per_fan_year / most_y)
        rows[HEIGHT - y][x] = MARKS[policy.name.split()[0]]
    lines = [f"{most_y * (HEIGHT - n) / HEIGHT:5.2f} |{''.join(row)}" for n, row in enumerate(rows)]
    foot = f"{'0':>8}{f'{most_x:.1f} visits':>{WIDTH}}"
    return "\n".join(line.rstrip() for line in [*lines, f"{'':6}+{'-' * WIDTH}", foot])


def _line(policy: PolicyFigures) -> str:
    fewer = policy.fewer_than_fixed_percent
    against = "" if fewer is None else f"  {fewer:+.0f} % fewer than fixed rounds as often"
    return (
        f"{policy.name:13}{policy.visits_per_fan_year:6.2f} visits "
        f"{policy.failures_per_fan_year:6.3f} failures "
        f"{policy.avoidable_per_fan_year:6.3f}{_between(policy.avoidable_interval)} avoidable"
        f"{against}"
    )


def _aim(aim: Aim) -> str:
    found = "not on the curve" if aim.found is None else f"{aim.found:.2f}"
    met = {True: "met", False: "NOT MET", None: "no aim"}[aim.met]
    wanted = "-" if aim.wanted is None else f"{aim.wanted:g}"
    return f"{met}: {aim.what}: {found}{_between(aim.interval)}, wanted {wanted}"


def _between(interval: tuple[float, float] | None) -> str:
    return "" if interval is None else f" ({interval[0]:.2f} to {interval[1]:.2f})"


def _case(case: Case) -> str:
    fewer = case.fewer_than_fixed_percent
    told = "outside the fixed rounds" if fewer is None else f"{fewer:+.0f} % fewer"
    return (
        f"{case.assumption} x{case.factor:g}: {told}, {case.visits_per_fan_year:.2f} visits, "
        f"{case.avoidable_per_fan_year:.3f} avoidable"
    )
