"""Why a string's partials die away: 1/Q = 1/Q_air + 1/Q_visco + 1/Q_thermo + 1/Q_support, σ = π f/Q.

References: Stokes 1851 (drag of air on a cylinder, large Stokes number); Valette & Cuesta 1993, as used by Issanchou et al. 2017,
Journal of Sound and Vibration 393, equation 12 (all three losses of the string itself).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.air import Air
from wirebloom.rig.section import Section

if TYPE_CHECKING:
    from wirebloom.rig.materials import Material
    from wirebloom.rig.strings import Damping

Floats = NDArray[np.float64]
THOUSANDFOLD = 3.0 * np.log(10.0)  # amplitude falls by 60 dB


class Strung(NamedTuple):
    """A string under tension (N) in air."""

    section: Section
    tension: float
    material: Material
    air: Air


def air_resistance(frequency: Floats, diameter: float, air: Air) -> Floats:
    """Drag of still air per length of string and per velocity, R = 2πη + 2πd √(π η ρ_a f), kg/(m s)."""
    return 2.0 * np.pi * air.viscosity + 2.0 * np.pi * diameter * np.sqrt(np.pi * air.viscosity * air.density * frequency)


def air_loss(frequency: Floats, diameter: float, density: float, air: Air) -> Floats:
    """1/Q of the drag of air, R/(2π μ f)."""
    return air_resistance(frequency, diameter, air) / (2.0 * np.pi * density * frequency)


def viscoelastic_loss(frequency: Floats, density: float, stiffness: float, tension: float, angle: float) -> Floats:
    """1/Q of bending with loss angle δ, 4π² μ E I δ f²/T²."""
    return 4.0 * np.pi**2 * density * stiffness * angle * frequency**2 / tension**2


def quality_terms(frequency: Floats, strung: Strung, damping: Damping, support_q: float | None) -> dict[str, Floats]:
    """Every loss that is switched on, by name.

    Parameters
    ----------
    frequency : (N,) ndarray
        Hz.
    strung : Strung
    damping : Damping
        Which losses count.
    support_q : float or None
        Quality factor of the supports for this polarisation.

    Returns
    -------
    dict of str to (N,) ndarray
        1/Q under "air", "viscoelastic", "thermoelastic", "support".
    """
    section, material = strung.section, strung.material
    terms: dict[str, Floats] = {}
    if damping.air:
        terms["air"] = air_loss(frequency, section.diameter, section.density, strung.air)
    if damping.viscoelastic:
        terms["viscoelastic"] = viscoelastic_loss(frequency, section.density, section.stiffness, strung.tension, material.viscoelastic_loss)
    if damping.thermoelastic:
        terms["thermoelastic"] = np.full_like(frequency, material.thermoelastic_loss)
    if support_q is not None:
        terms["support"] = np.full_like(frequency, 1.0 / support_q)
    return terms


def decay_rate(frequency: Floats, terms: dict[str, Floats]) -> Floats:
    """σ = π f Σ 1/Q, 1/s."""
    return np.pi * frequency * sum(terms.values(), np.zeros_like(frequency))


def decay_rates(frequency: Floats, strung: Strung, damping: Damping, sideways_q: float | None) -> Floats:
    """σ of both polarisations, 1/s, from the (2, N) frequencies; `sideways_q` is the support's quality factor across the heads."""
    qualities = (damping.support_q, sideways_q)
    return np.stack([decay_rate(f, quality_terms(f, strung, damping, q)) for f, q in zip(frequency, qualities, strict=True)])


def decay_time(decay: Floats) -> Floats:
    """T60 = 3 ln 10/σ, s; infinite without loss."""
    with np.errstate(divide="ignore"):
        return np.asarray(THOUSANDFOLD / np.asarray(decay))


def with_measured(decay: Floats, frequency: Floats, t60: Sequence[tuple[int, float]]) -> Floats:
    """Put measured decay times in the place of the model's.

    Between two measured partials ln σ runs straight in ln f; below the first and above the last the model's own values stay. A
    measurement rarely tells the polarisations apart, so sideways keeps its ratio to the polarisation towards the heads.

    Parameters
    ----------
    decay, frequency : (2, N) ndarray
        The model's, 1/s and Hz.
    t60 : sequence of (int, float)
        Partial number and T60 (s), in rising order.

    Returns
    -------
    (2, N) ndarray
        1/s.
    """
    known = [(n, seconds) for n, seconds in t60 if n <= decay.shape[1]]
    if not known:
        return decay
    numbers = np.array([n for n, _ in known])
    measured = np.log(THOUSANDFOLD / np.array([seconds for _, seconds in known]))
    inside = np.arange(numbers[0], numbers[-1] + 1) - 1
    place = np.log(frequency[0])
    result = decay.copy()
    result[0, inside] = np.exp(np.interp(place[inside], place[numbers - 1], measured))
    unequal = np.divide(decay[1], decay[0], out=np.ones_like(decay[0]), where=decay[0] > 0.0)
    result[1, inside] = unequal[inside] * result[0, inside]
    return result
