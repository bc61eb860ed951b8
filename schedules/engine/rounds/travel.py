"""Ways between places: great circles stretched to roads, or a matrix somebody brought."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.engine.errors import ProblemError
from schedules.engine.rounds.parameters import RoundsParams

Floats = NDArray[np.float64]

EARTH_RADIUS_M = 6_371_000.0
"""Mean radius of the earth; a sphere is off by at most 0.6 percent, less than any detour factor."""

ROUNDING = 1e-9


def great_circle_m(a: ArrayLike, b: ArrayLike) -> Floats:
    """Shortest way over a sphere between places [m].

    a, b : float, shapes (..., 2), broadcast [degrees: latitude, longitude]
    returns float, shape (...) [m]; by the haversine formula, which is exact for near places

    Raises ProblemError for latitudes beyond the poles and places that are not finite.
    """
    first, second = (_checked(name, each) for name, each in (("a", a), ("b", b)))
    lat_1, lat_2 = first[..., 0], second[..., 0]
    lat_half = (lat_2 - lat_1) / 2
    lon_half = (second[..., 1] - first[..., 1]) / 2
    square = np.sin(lat_half) ** 2 + np.cos(lat_1) * np.cos(lat_2) * np.sin(lon_half) ** 2
    arc: Floats = 2 * EARTH_RADIUS_M * np.arcsin(np.sqrt(np.minimum(square, 1.0)))
    return arc


@dataclass(frozen=True, eq=False)
class Travel:
    """How long and how far from each node to each, shapes (nodes, nodes) [min], [m].

    Nodes are numbered from 0; ``Site.node`` and the nodes of technicians point into them.  Ways may
    differ by direction.
    """

    minutes: Floats
    metres: Floats

    def __post_init__(self) -> None:
        for name in ("minutes", "metres"):
            values = np.array(getattr(self, name), np.float64)
            _check_matrix(name, values)
            values.setflags(write=False)
            object.__setattr__(self, name, values)
        if self.minutes.shape != self.metres.shape:
            raise ProblemError(
                f"travel has minutes of shape {self.minutes.shape} and metres of shape "
                f"{self.metres.shape}; give both for the same places"
            )

    @staticmethod
    def over(positions: ArrayLike, params: RoundsParams | None = None) -> Travel:
        """Great circle x factor / speed between ``positions``, shape (nodes, 2) [degrees]."""
        params = params or RoundsParams()
        places = np.asarray(positions, np.float64).reshape(-1, 2)
        metres = great_circle_m(places[:, None], places[None]) * params.detour_factor
        return Travel(metres / 1000 / params.speed_km_h * 60, metres)

    @cached_property
    def roads(self) -> NDArray[np.int64]:
        """Minutes rounded up: a round sheet shows whole ones, and none may be missing on it."""
        return np.ceil(self.minutes - ROUNDING).astype(np.int64)

    def __len__(self) -> int:
        return len(self.minutes)


def _checked(name: str, places: ArrayLike) -> Floats:
    degrees = np.asarray(places, np.float64)
    if degrees.shape[-1:] != (2,) or not np.isfinite(degrees).all():
        raise ProblemError(
            f"{name} has shape {degrees.shape}; expected pairs of latitude and longitude, all known"
        )
    if degrees.size and np.abs(degrees[..., 0]).max() > 90:
        raise ProblemError(
            f"{name} has latitude {np.abs(degrees[..., 0]).max():g}; expected -90 to 90 degrees"
        )
    return np.radians(degrees)


def _check_matrix(name: str, values: Floats) -> None:
    if values.ndim != 2 or values.shape[0] != values.shape[1]:
        raise ProblemError(f"travel {name} has shape {values.shape}; expected a square matrix")
    bad = np.argwhere(~(np.isfinite(values) & (values >= 0)))
    if len(bad):
        at = tuple(int(index) for index in bad[0])
        raise ProblemError(
            f"travel {name} from node {at[0]} to {at[1]} is {values[at]} and {len(bad)} in all are "
            "missing, endless or negative; fill them first"
        )
    if np.diagonal(values).any():
        raise ProblemError(f"travel {name} from a node to itself is not 0; set the diagonal to 0")
