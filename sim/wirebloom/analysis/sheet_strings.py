"""A string at rest over its magnets: why its partials die away, and where the magnets put them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import linear_sum_assignment

from wirebloom.analysis.held import Held, own_poles
from wirebloom.analysis.modes import string_matrix
from wirebloom.kernels.layout import Floats, Strings
from wirebloom.physics.air import air_at
from wirebloom.physics.damping import Strung, quality_terms
from wirebloom.rig import MATERIALS
from wirebloom.rig.section import string_section
from wirebloom.take.check_sheet import DecayCause, StringStatic

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

PLACES = 401  # along a string, to find where it is drawn furthest
ALIKE = 1e-9  # relative: a decay rate that far off its causes' sum was measured


def string_static(compiled: Compiled, found: Held, s: int) -> StringStatic:
    """Facts of string number s."""
    own, modes = compiled.sheet.strings[s], compiled.modes[s]
    towards, aside = drawn(own.rest_m)
    return StringStatic(
        name=own.name,
        material=own.material,
        length_m=own.length_m,
        diameter_m=own.diameter_m,
        linear_density_kg_m=own.linear_density_kg_m,
        tension_N=own.tension_N,
        pitch_Hz=own.pitch_Hz,
        stress_Pa=own.stress_Pa,
        strength_min_Pa=own.strength_min_Pa,
        strength_max_Pa=own.strength_max_Pa,
        inharmonicity=own.inharmonicity,
        harmonic_Hz=float(np.sqrt(modes.tension / modes.density) / (2.0 * modes.length)),
        frequency_Hz=modes.frequency,
        magnet_cent=magnet_cent(compiled, found, s),
        decay_per_s=modes.decay,
        causes=decay_causes(compiled, s),
        sag_m=towards,
        side_m=aside,
        equilibrium=own.equilibrium,
    )


def drawn(rest: Floats) -> tuple[float, float]:
    """Largest displacement (with its sign) of modal displacements (2, N), m, towards the heads and sideways."""
    shapes = np.sin(np.outer(np.arange(1, rest.shape[1] + 1), np.linspace(0.0, np.pi, PLACES)))
    towards, aside = (row[np.argmax(np.abs(row))] for row in rest @ shapes)
    return float(towards), float(aside)


def decay_causes(compiled: Compiled, s: int) -> tuple[DecayCause, ...]:
    """Decay rates of string number s by cause: σ = π f/Q of each; whole ones as "measured" where a measurement took their place."""
    string, modes = compiled.rig.strings[s], compiled.modes[s]
    material = MATERIALS[string.material]
    strung = Strung(string_section(string, material), modes.tension, material, air_at(compiled.rig.room.temperature))
    qualities = (string.damping.support_q, string.sideways.support_q)
    terms = [quality_terms(f, strung, string.damping, q) for f, q in zip(modes.frequency, qualities, strict=True)]
    zero = np.zeros(modes.wavenumber.size)
    names = dict.fromkeys(name for own in terms for name in own)
    rates = {name: np.pi * modes.frequency * np.stack([own.get(name, zero) for own in terms]) for name in names}
    computed = sum(rates.values(), np.zeros_like(modes.decay))
    measured = np.abs(modes.decay - computed) > ALIKE * modes.decay
    causes = [DecayCause(name, np.where(measured, 0.0, rate)) for name, rate in rates.items()]
    return (*causes, *([DecayCause("measured", np.where(measured, modes.decay, 0.0))] if measured.any() else []))


def magnet_cent(compiled: Compiled, found: Held, s: int) -> Floats:
    """How far the magnets and the stretch at rest move every partial of string number s, (2, N) cent.

    Eigenvalues of its stiffness over mass with the magnets' gradients in it, each given to the partial that it is most like.
    """
    count, own = compiled.modes[s].wavenumber.size, own_poles(compiled.model, s)
    bare = 2.0 * np.pi * compiled.modes[s].frequency
    if own.size == 0 or compiled.sheet.strings[s].equilibrium == "latched":
        return np.zeros_like(bare) if own.size == 0 else np.full_like(bare, np.nan)
    square, likeness = np.linalg.eigh(_stiffness(compiled, found, s))
    rows, columns = linear_sum_assignment(-(likeness**2))
    there = np.empty_like(square)
    there[rows] = square[columns]
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(600.0 * np.log2(there.reshape(2, count) / bare**2))


def _stiffness(compiled: Compiled, found: Held, s: int) -> Floats:
    """Stiffness over mass of one string's modes over its magnets, (2N, 2N) s⁻²."""
    model, own, count = compiled.model, own_poles(compiled.model, s), compiled.modes[s].wavenumber.size
    alone = model._replace(strings=Strings(*(values[s : s + 1] for values in model.strings)))
    partials = model.strings.frequency.shape[2]
    chosen = np.concatenate([p * partials + np.arange(count) for p in range(2)])
    weight = np.kron(np.eye(2), model.poles.weight[own, :count])  # motions of all poles towards the heads, then of all sideways
    places = np.concatenate([2 * own, 2 * own + 1])
    magnets = weight.T @ found.linear.magnets.stiffness[np.ix_(places, places)] @ weight * model.strings.inverse_mass[s]
    return np.asarray(string_matrix(alone, found.linear.point.q[s : s + 1])[np.ix_(chosen, chosen)] - magnets, dtype=np.float64)
