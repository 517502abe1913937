"""Co-energy of a wire at every node of gap and sideways offset over a round head."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.field import HeadField
from wirebloom.physics.wire import MU0, Magnetised, WireGrid, WireMaterial, axial_coenergy, magnetise

Floats = NDArray[np.float64]


class Components(NamedTuple):
    """A field at the wire's cell centres: along the wire, across it sideways, across it upwards (…, n), T or T/A."""

    along: Floats
    sideways: Floats
    upwards: Floats


@dataclass(frozen=True)
class Sweep:
    """Parts of the co-energy W′ = W₀ + Λi + ½L₁i² over nodes, and the load of ∂F/∂i along the wire.

    Attributes
    ----------
    coenergy, flux, inductance : (G, Y) ndarray
        W₀ (J), Λ (Wb), L₁ (H).
    load : (G, 2n) ndarray
        ∂²F/∂i∂x at the cell centres, N/(A m), for one of the offsets.
    """

    coenergy: Floats
    flux: Floats
    inductance: Floats
    load: Floats


def sweep(field: HeadField, grid: WireGrid, material: WireMaterial, heights: Floats, offsets: Floats, *, load_at: int = 0) -> Sweep:
    """Magnetise the wire at every height and offset, from the far end inwards so that each state is the next one's guess.

    Parameters
    ----------
    field : HeadField
    grid : WireGrid
    material : WireMaterial
    heights : (G,) ndarray
        Of the wire's axis above the face, increasing, m.
    offsets : (Y,) ndarray
        Of the wire's axis from the head's, m.
    load_at : int
        Which offset the load is for.

    Returns
    -------
    Sweep
    """
    parts = np.empty((3, heights.size, offsets.size))
    load = np.empty((heights.size, 2 * grid.cells))
    past: list[tuple[float, Floats]] = []
    for g in range(heights.size - 1, -1, -1):
        magnet = components(field, "magnet", grid, heights[g], offsets)
        coil = components(field, "coil", grid, heights[g], offsets)
        state = magnetise(grid, material, magnet.along / MU0, coil.along / MU0, _extrapolated(past, heights[g]))
        past = [(heights[g], state.field), *past[:2]]
        parts[:, g] = _coenergy_parts(grid, material, magnet, coil, state)
        there = state.magnetisation[load_at], state.per_ampere[load_at]
        load[g] = _load(field, grid, material, (heights[g], offsets[load_at]), there)
    return Sweep(parts[0], parts[1], parts[2], load)


def _extrapolated(past: list[tuple[float, Floats]], height: float) -> Floats | None:
    """State at a height by a parabola through the last three."""
    if len(past) < 3:
        return None
    (a, at_a), (b, at_b), (c, at_c) = past
    near, middle, far = height - a, height - b, height - c
    return at_a * middle * far / ((a - b) * (a - c)) + at_b * near * far / ((b - a) * (b - c)) + at_c * near * middle / ((c - a) * (c - b))


def components(field: HeadField, source: str, grid: WireGrid, height: float, offsets: Floats, *, slope: int = 0) -> Components:
    """Field of the "coil" (per ampere) or the "magnet" in the cells for each offset; with slope = 1 its ∂/∂z.

    Along the wire it is the cell's mean, the difference of the potential at its ends: sampling would alias the rim of
    the core when the wire is nearer to the face than a cell is long.
    """
    axial = field.coil if source == "coil" else field.magnet
    y = offsets[:, None]
    ends, centres = np.hypot(grid.ends, y), np.hypot(grid.centres, y)
    along = np.asarray(-np.diff(axial.at(height, ends, slope=slope).potential, axis=1) / grid.cell)
    across = axial.at(height, centres, slope=slope)
    return Components(along, y / centres * across.outwards, across.upwards)


def _coenergy_parts(grid: WireGrid, material: WireMaterial, magnet: Components, coil: Components, state: Magnetised) -> Floats:
    """W₀, Λ and L₁ for each offset (3, Y)."""
    volume, across = grid.cell_volume, material.transverse / MU0

    def product(a: Components, b: Components) -> Floats:
        return np.asarray(across * volume * np.sum(_dot(a, b), axis=1))

    return np.stack(
        [
            axial_coenergy(grid, material, magnet.along / MU0, state) + 0.5 * product(magnet, magnet),
            volume * np.sum(state.magnetisation * coil.along, axis=1) + product(magnet, coil),
            volume * np.sum(state.per_ampere * coil.along, axis=1) + product(coil, coil),
        ]
    )


def _load(
    field: HeadField, grid: WireGrid, material: WireMaterial, place: tuple[float, float], magnetisation: tuple[Floats, Floats]
) -> Floats:
    """Density of ∂F/∂i along the wire, N/(A m), (2n,) from one end to the other.

    `magnetisation` is M and dM/di. The sum times the cell is ∂F/∂i, negative where a positive current adds to the pull.
    Magnetisation turns with the wire, so the string feels the force M·∂B/∂z and the slope of the torque on it:
    A [M·∂_z B − (M_x B_z − M_z B_x)′]. For the axial part alone this is −A M_x′ B_z.
    """
    height, offset = place
    y = np.array([offset])
    magnet, coil = (components(field, s, grid, height, y) for s in ("magnet", "coil"))
    magnet_slope, coil_slope = (components(field, s, grid, height, y, slope=1) for s in ("magnet", "coil"))
    m, dm = magnetisation
    if not magnet.upwards.any():  # no magnet, no K: the load of the force that goes with i² instead
        magnet, magnet_slope, m = coil, coil_slope, dm
    across = material.transverse / MU0
    force = dm * magnet_slope.along + m * coil_slope.along
    force = force + across * (_dot(magnet, coil_slope) + _dot(coil, magnet_slope))
    torque = dm * magnet.upwards + m * coil.upwards - across * (magnet.upwards * coil.along + coil.upwards * magnet.along)
    area = grid.cell_volume / (2 * grid.cell)
    both = np.concatenate([force[0, ::-1], force[0]])
    return np.asarray(area * (both - _slope(np.concatenate([-torque[0, ::-1], torque[0]]), grid.cell)))


def _slope(values: Floats, spacing: float) -> Floats:
    """Mean derivative over each cell of a quantity that is zero beyond both ends: its sum is exactly zero."""
    between = np.concatenate([[0.0], (values[1:] + values[:-1]) / 2, [0.0]])
    return np.asarray(np.diff(between) / spacing)


def _dot(a: Components, b: Components) -> Floats:
    """Product of the two components across the wire."""
    return a.sideways * b.sideways + a.upwards * b.upwards
