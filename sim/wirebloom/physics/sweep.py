"""Co-energy of a wire at every node of gap and sideways offset over a round head."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.exposure import Components, Exposure, expose
from wirebloom.physics.field import HeadField
from wirebloom.physics.steel import WireMaterial
from wirebloom.physics.wire import MU0, Magnetised, Surroundings, WireGrid, axial_coenergy, magnetise

if TYPE_CHECKING:
    from wirebloom.physics.reaction import Reaction

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Sweep:
    """Parts of the co-energy W′ = W₀ + Λi + ½L₁i² over nodes, and how the forces that follow from it load the wire.

    Attributes
    ----------
    coenergy, flux, inductance : (G, Y) ndarray
        W₀ (J), Λ along the bias curve (Wb), L₁ of small changes (H).
    factor_change : (G, Y) ndarray
        How much the force factor of small changes exceeds −∂Λ/∂z, N/A.
    load : (3, G, 2n) ndarray
        Densities of F₀ (N/m), of ∂F/∂i (N/(A m)) and of ½∂²F/∂i² (N/(A² m)) upwards, at the cell centres, for one of the offsets.
    """

    coenergy: Floats
    flux: Floats
    inductance: Floats
    factor_change: Floats
    load: Floats


@dataclass(frozen=True)
class Loads:
    """Force on the upper half x > 0 of a wire, per length: static, per ampere, per square ampere (B, n)."""

    static: Floats
    per_ampere: Floats
    per_square: Floats


def sweep(
    head: tuple[HeadField, Reaction], grid: WireGrid, material: WireMaterial, heights: Floats, offsets: Floats, *, load_at: int = 0
) -> Sweep:
    """Magnetise the wire at every height and offset, from the far end inwards so that each state is the next one's guess.

    Parameters
    ----------
    head : (HeadField, Reaction)
        Its fields, and how its iron answers.
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
    parts = np.empty((4, heights.size, offsets.size))
    load = np.empty((3, heights.size, 2 * grid.cells))
    past: list[tuple[float, Floats]] = []
    for g in range(heights.size - 1, -1, -1):
        exposure = expose(head, grid, float(material.transverse), heights[g], offsets)
        around = exposure.surroundings()
        state = magnetise(material, around, _extrapolated(past, heights[g]))
        past = [(heights[g], state.field), *past[:2]]
        parts[:3, g] = coenergy_parts(material, exposure, around, state)
        loads, bias = force_loads(exposure, state.magnetisation, state.reversible), state.per_ampere
        parts[3, g] = _total(exposure, force_loads(exposure, state.magnetisation, bias).per_ampere - loads.per_ampere)
        load[:, g] = [_both_sides(part[load_at]) for part in (loads.static, loads.per_ampere, loads.per_square)]
    return Sweep(parts[0], parts[1], parts[2], parts[3], load)


def _extrapolated(past: list[tuple[float, Floats]], height: float) -> Floats | None:
    """State at a height by a parabola through the last three."""
    if len(past) < 3:
        return None
    (a, at_a), (b, at_b), (c, at_c) = past
    near, middle, far = height - a, height - b, height - c
    return at_a * middle * far / ((a - b) * (a - c)) + at_b * near * far / ((b - a) * (b - c)) + at_c * near * middle / ((c - a) * (c - b))


def coenergy_parts(material: WireMaterial, exposure: Exposure, around: Surroundings, state: Magnetised) -> Floats:
    """W₀ (J), Λ (Wb) and L₁ (H) for each offset, (3, B)."""
    volume = MU0 * exposure.grid.cell_volume
    magnet, coil = exposure.magnet, exposure.coil
    return np.stack(
        [
            axial_coenergy(exposure.grid, material, around, state) + 0.5 * exposure.product(magnet, magnet),
            volume * np.sum(state.magnetisation * around.per_ampere, axis=1) + exposure.product(magnet, coil),
            volume * np.sum(state.reversible * around.per_ampere, axis=1) + exposure.product(coil, coil),
        ]
    )


def force_loads(exposure: Exposure, magnetisation: Floats, per_ampere: Floats) -> Loads:
    """How the force upwards spreads along a wire of axial magnetisation M (B, n), A/m, and dM/di (B, n), 1/m.

    Magnetisation turns with the wire, so the string feels the force M·∂B/∂z and the slope of the torque on it:
    A [M·∂_z B − (M_x B_z − M_z B_x)′]. For the axial part alone this is −A M_x′ B_z. B is what acts from outside the wire, the
    iron's answer to it included.
    """
    field, moment, amplitude = exposure.with_answer(exposure.magnet, magnetisation)
    change, moment_change, amplitude_change = exposure.with_answer(exposure.coil, per_ampere)
    slope = exposure.slope_with_answer(exposure.magnet_slope, amplitude)
    slope_change = exposure.slope_with_answer(exposure.coil_slope, amplitude_change)

    def density(m: Components, b: Components, b_slope: Components) -> Floats:
        turning = _slope(m.along * b.upwards - m.upwards * b.along, exposure.grid.cell)
        return exposure.section * (sum(one * other for one, other in zip(m, b_slope, strict=True)) - turning)

    both = density(moment_change, field, slope) + density(moment, change, slope_change)
    return Loads(density(moment, field, slope), both, density(moment_change, change, slope_change))


def _slope(torque: Floats, spacing: float) -> Floats:
    """Mean derivative over each cell of x > 0 of a torque (B, n), odd in x and zero beyond the end: in sum nothing."""
    middle, end = np.zeros_like(torque[:, :1]), np.zeros_like(torque[:, :1])
    between = np.concatenate([middle, (torque[:, 1:] + torque[:, :-1]) / 2, end], axis=1)
    return np.asarray(np.diff(between, axis=1) / spacing)


def _total(exposure: Exposure, density: Floats) -> Floats:
    """Over the whole wire, (B,)."""
    return np.asarray(2.0 * exposure.grid.cell * density.sum(axis=1))


def _both_sides(half: Floats) -> Floats:
    return np.concatenate([half[::-1], half])
