"""Routes of a VRPLIB file reckoned by hand: its own reader, its own clock, no solver."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

Rows = dict[str, list[list[float]]]


@dataclass(frozen=True)
class Instance:
    """Headers and sections as they stand in the file; customer 0 is the depot."""

    headers: dict[str, str]
    sections: Rows

    def column(self, section: str, at: int = 1) -> list[float]:
        """One column of a section, by customer."""
        return [row[at] for row in self.sections[section]]

    def distance(self, a: int, b: int) -> float:
        """The way from a to b, not rounded."""
        if "EDGE_WEIGHT" in self.sections:
            return self.sections["EDGE_WEIGHT"][a][b]
        (_, *here), (_, *there) = (self.sections["NODE_COORD"][each] for each in (a, b))
        return math.dist(here, there)


def read_instance(file: Path) -> Instance:
    """Headers are `NAME : value`, sections follow a line ending in _SECTION."""
    headers: dict[str, str] = {}
    sections: Rows = {}
    current: list[list[float]] = []
    for line in file.read_text(encoding="utf-8").splitlines():
        words = line.split()
        if not words or words[0] == "EOF":
            continue
        if words[0].endswith("_SECTION"):
            current = sections.setdefault(words[0].removesuffix("_SECTION"), [])
        elif ":" in line:
            name, value = line.split(":", 1)
            headers[name.strip()] = value.strip()
        else:
            current.append([float(word) for word in words])
    return Instance(headers, sections)


def read_routes(file: Path) -> list[list[int]]:
    """Routes of a .sol file."""
    lines = file.read_text(encoding="utf-8").splitlines()
    return [
        [int(word) for word in line.split(":")[1].split()] for line in lines if line[:5] == "Route"
    ]


def length(instance: Instance, routes: list[list[int]], rounded: str) -> float:
    """All ways from the depot and back, each rounded as the class of instances does."""
    how = {
        "nearest": lambda way: math.floor(way + 0.5),
        "tenths": lambda way: math.floor(10 * way) / 10,
        "not": lambda way: way,
    }[rounded]
    return sum(
        how(instance.distance(a, b))
        for route in routes
        for a, b in zip([0, *route], [*route, 0], strict=True)
    )


def fits(instance: Instance, routes: list[list[int]]) -> bool:
    """Whether capacity and time windows hold, counted in tenths as distances are."""
    capacity = float(instance.headers["CAPACITY"])
    demand = instance.column("DEMAND")
    return all(sum(demand[each] for each in route) <= capacity for route in routes) and (
        "TIME_WINDOW" not in instance.sections or all(_in_time(instance, route) for route in routes)
    )


def _in_time(instance: Instance, route: list[int]) -> bool:
    explicit = "EDGE_WEIGHT" in instance.sections
    scale = 1 if explicit else 10
    service = float(instance.headers.get("SERVICE_TIME", 0)) * scale
    clock = 0.0
    for a, b in zip([0, *route], [*route, 0], strict=True):
        clock += math.floor(instance.distance(a, b) * scale)
        _, opens, closes = instance.sections["TIME_WINDOW"][b]
        if clock > closes * scale:
            return False
        own = instance.sections["SERVICE_TIME"][b][1] if "SERVICE_TIME" in instance.sections else 0
        clock = max(clock, opens * scale) + (own or service)
    return True
