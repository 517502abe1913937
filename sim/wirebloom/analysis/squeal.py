"""Does a loop squeal without its strings, and how near is it to that? Thresholds in crosstalk, gain, distance and orientation.

With the strings held, y′ = A y of the electronics alone: they squeal if an eigenvalue of A grows. What couples a loop's drive back
into its sense coil stands in few places of A, so that each threshold costs one linear model and many small eigenvalue problems:
with mutual inductances changed by ΔM the fluxes' columns become A_λ (1 + ΔM i_λ)⁻¹, i_λ the currents that fluxes cause; a stray
capacitance c times as large divides its state's row by c; a plain amplifier's gain stands in one place of its diagonal.

At a threshold a pair of eigenvalues lies on the imaginary axis: the loop's gain is 1 and its phase 0 there (Barkhausen's condition).
Losses of coils and iron above some 10 kHz are left out: the sense coil's resonance is sharper here than on the bench.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product
from math import hypot
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from scipy.sparse.csgraph import connected_components

from wirebloom.analysis.linear import Linear, linearise
from wirebloom.circuit.nodal import merged, states_of
from wirebloom.kernels.layout import Floats, Ints, Model

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirebloom.compile.model import Compiled
    from wirebloom.compile.poles import Pole
    from wirebloom.rig.loops import Amplifier, Loop
    from wirebloom.take.sheet import Sheet

STRAY = "stray capacitance"
GROWS = 1e-2  # 1/s: slower is no squeal, and rounding makes less
LEAST, MOST, A_DECADE = 1e-3, 1e4, 16  # factors that are tried, and how many in a decade
CLOSE = 1e-6  # relative, of a threshold
NARROWER = 8  # times, at each further look
PASSIVE = 0.999  # of the coupling that coils can have at most
NEVER = -1.0  # in a sheet: no threshold found


class Change(NamedTuple):
    """What is multiplied, in one loop: mutual inductances between its sense and drive coils, stray capacitances, amplifier's gain.

    Numbers, or one array (F,) and numbers.
    """

    mutual: float | Floats = 1.0
    stray: float | Floats = 1.0
    gain: float | Floats = 1.0


class Electronics(NamedTuple):
    """All electronics of a rig with the strings held, and where couplings and gains stand in their matrix."""

    matrix: Floats  # (n, n)
    flux: Ints  # states of coils and shorted turns
    coils: Floats  # (C, flux) currents of the circuits that these cause, 1/H
    inductance: Floats  # (C, C) H
    strays: Ints  # states of the stray capacitances
    stages: tuple[tuple[int, int, float, float], ...]  # state, loop, rate (rad/s), gain of every stage that no rail holds


@dataclass(frozen=True)
class Threshold:
    """Where a loop begins to squeal: the factor (0: it needs none), and the frequency there (Hz)."""

    factor: float
    frequency_Hz: float


@dataclass(frozen=True)
class Squeal:
    """One loop with its strings held.

    Attributes
    ----------
    growth_per_s, frequency_Hz : float
        Of the electronics' fastest growing motion as they stand, negative: it fades. At 0 Hz the loop flips to a limit, and what
        it does from there, its capacitors decide.
    crosstalk : Threshold or None
        How many times its crosstalk, magnetic and by stray capacitance, it would begin to squeal at; below 1 it does. None: at
        no crosstalk up to what coils can have, or there is none.
    turned : Threshold or None
        The same with the magnetic crosstalk's sign turned: one head's magnet upside down and its leads swapped, which leaves
        the strings' way as it is.
    gain : float or None
        Gain of a plain amplifier, its product with the bandwidth as it is, at which it begins to squeal. None where there is no such
        gain, and for loops with stages.
    distance_m : float or None
        Distance of its nearest sense and drive head under one string at which it begins to; far dipoles' crosstalk, ∝ 1/d³, where
        no crosstalk is stated.
    """

    growth_per_s: float
    frequency_Hz: float
    crosstalk: Threshold | None
    turned: Threshold | None
    gain: float | None
    distance_m: float | None

    @property
    def squeals(self) -> bool:
        """As it stands."""
        return self.growth_per_s > GROWS


def electronics(compiled: Compiled, linear: Linear | None = None) -> Electronics:
    """Linear electronics of a compiled rig, strings held; linear: its model, if it is at hand."""
    return held_electronics(linearise(compiled, strings=False) if linear is None else linear, compiled.model, stray_states(compiled))


def held_electronics(linear: Linear, model: Model, strays: Sequence[int] = ()) -> Electronics:
    """The same of a linear model without strings; strays: places of stray capacitances among the network's states."""
    flux, part = linear.states("flux", "eddy"), linear.states("part")
    stages = tuple(
        (k, int(model.stages.loop[w]), float(model.stages.rate[w]), float(model.stages.gain[w]))
        for k, label in enumerate(linear.labels)
        if label.kind == "stage" and (w := label.place[0]) >= 0
    )
    return Electronics(
        matrix=linear.matrix,
        flux=flux,
        coils=linear.out["current"][:, flux],
        inductance=model.coils.inductance,
        strays=part[list(strays)],
        stages=stages,
    )


def stray_states(compiled: Compiled) -> list[int]:
    """Places of the stray capacitances among the states of the network."""
    states = states_of(merged(compiled.netlist.parts))
    return [x for x, part in enumerate(states) if part.name.startswith(STRAY)]


def part(bench: Electronics, loop: int) -> tuple[Electronics, int]:
    """What acts on one loop, if only by another, and the loop's number in there."""
    count, circuits = bench.matrix.shape[0], bench.inductance.shape[0]
    tied = bench.matrix != 0.0
    tied[np.ix_(bench.flux[:circuits], bench.flux)] |= bench.coils != 0.0
    tied[bench.flux[0:circuits:2], bench.flux[1:circuits:2]] = True
    _, label = connected_components(tied, directed=False)
    states = np.flatnonzero(label == label[bench.flux[2 * loop]])
    where, kept = np.full(count, -1), np.flatnonzero(np.isin(bench.flux, states))
    where[states] = np.arange(states.size)
    own = kept[kept < circuits]
    loops = {int(c) // 2: k for k, c in enumerate(own[::2])}
    there = Electronics(
        matrix=bench.matrix[np.ix_(states, states)],
        flux=where[bench.flux[kept]],
        coils=bench.coils[np.ix_(own, kept)],
        inductance=bench.inductance[np.ix_(own, own)],
        strays=where[bench.strays[where[bench.strays] >= 0]],
        stages=tuple((int(where[state]), loops[a], rate, gain) for state, a, rate, gain in bench.stages if where[state] >= 0),
    )
    return there, loops[loop]


def changed(bench: Electronics, loop: int, change: Change) -> Floats:
    """Matrix of the electronics with one loop changed, or of all changes (F, n, n); stray capacitances change in all loops."""
    mutual, stray, gain_times = np.broadcast_arrays(change.mutual, change.stray, change.gain)
    matrix = np.broadcast_to(bench.matrix, (*mutual.shape, *bench.matrix.shape)).copy()
    sense, drive = 2 * loop, 2 * loop + 1
    more = (mutual - 1.0) * bench.inductance[sense, drive]
    if np.any(more):
        rise = np.zeros((*mutual.shape, bench.flux.size, bench.flux.size))
        rise[..., sense, :], rise[..., drive, :] = more[..., None] * bench.coils[drive], more[..., None] * bench.coils[sense]
        matrix[..., bench.flux] = matrix[..., bench.flux] @ np.linalg.inv(np.eye(bench.flux.size) + rise)
    matrix[..., bench.strays, :] /= stray[..., None, None]
    for state, own, rate, gain in bench.stages:
        if own == loop:
            matrix[..., state, state] += rate / gain * (1.0 - 1.0 / gain_times)
    return matrix


def fastest(matrix: Floats) -> Any:
    """Eigenvalue of matrices (…, n, n) that grows fastest, of a pair the one with a positive imaginary part (…)."""
    values = np.linalg.eigvals(matrix).astype(complex)
    best = np.take_along_axis(values, values.real.argmax(axis=-1)[..., None], axis=-1)[..., 0]
    return best.real + 1j * np.abs(best.imag)


def begins(growing: Callable[[Any], Any], most: float) -> Threshold | None:
    """Least factor, up to `most`, from which on something grows: 0 if it does without any; None if there is none.

    Parameters
    ----------
    growing : callable
        Fastest eigenvalues at factors (F,).
    most : float
    """
    tried = np.geomspace(LEAST, most, max(2, round(A_DECADE * np.log10(most / LEAST))) + 1)
    while True:
        values = np.broadcast_to(growing(tried), tried.shape)
        grows = values.real > GROWS
        if not grows.any():
            return None
        first = int(grows.argmax())
        if first == 0:
            return Threshold(0.0, float(values[0].imag / (2.0 * np.pi)))
        low, high = (float(factor) for factor in tried[first - 1 : first + 1])
        if high <= low * (1.0 + CLOSE):
            return Threshold(high, float(values[first].imag / (2.0 * np.pi)))
        tried = np.geomspace(low, high, NARROWER + 1)


def squeals(compiled: Compiled, linear: Linear | None = None) -> tuple[Squeal, ...]:
    """Look at every loop of a rig.

    Parameters
    ----------
    compiled : Compiled
    linear : Linear, optional
        Of the rig with its strings held, if it is at hand.

    Returns
    -------
    tuple of Squeal

    References
    ----------
    Barkhausen 1935, "Lehrbuch der Elektronenröhren" vol. 3: a loop sounds where its gain is 1 at phase 0 (from memory).
    """
    whole = electronics(compiled, linear)
    return tuple(_squeal(compiled, own, *part(whole, a)) for a, own in enumerate(compiled.rig.loops))


def _squeal(compiled: Compiled, own: Loop, bench: Electronics, loop: int) -> Squeal:
    now, most = complex(fastest(bench.matrix)), most_crosstalk(bench.inductance, loop)
    couples = most < np.inf or bench.strays.size > 0

    def crosstalk(sign: float) -> Threshold | None:
        return begins(lambda f: fastest(changed(bench, loop, Change(mutual=sign * f, stray=f))), min(most, MOST)) if couples else None

    return Squeal(
        growth_per_s=now.real,
        frequency_Hz=now.imag / (2.0 * np.pi),
        crosstalk=crosstalk(1.0),
        turned=crosstalk(-1.0),
        gain=gain_threshold(own.amplifier, bench, loop),
        distance_m=distance(compiled, own, bench, loop),
    )


def most_crosstalk(inductance: Floats, loop: int) -> float:
    """Factor on a loop's magnetic crosstalk at which all the flux of one coil would pass the other."""
    own = inductance[2 * loop, 2 * loop + 1]
    most = PASSIVE * np.sqrt(inductance[2 * loop, 2 * loop] * inductance[2 * loop + 1, 2 * loop + 1])
    return float(most / abs(own)) if own != 0.0 else np.inf


def gain_threshold(amplifier: Amplifier | None, bench: Electronics, loop: int) -> float | None:
    """Gain of a plain amplifier at which its loop begins to squeal, its gain times bandwidth as it is; None where there is none."""
    if amplifier is None:
        return None
    found = begins(lambda f: fastest(changed(bench, loop, Change(gain=f))), MOST)
    return amplifier.gain * found.factor if found is not None and found.factor > 0.0 else None


def distance(compiled: Compiled, own: Loop, bench: Electronics, loop: int) -> float | None:
    """Distance of the nearest sense and drive head under one string at which their crosstalk, ∝ 1/d³, begins to make a loop squeal."""
    if any({*coupling.heads} <= {*own.sense, *own.drive} and coupling.mutual is not None for coupling in compiled.rig.couplings):
        return None
    apart = nearest(compiled.poles, own.sense, own.drive)
    if apart is None or bench.inductance[2 * loop, 2 * loop + 1] == 0.0:
        return None
    most = min(most_crosstalk(bench.inductance, loop), MOST)
    found = begins(lambda f: fastest(changed(bench, loop, Change(mutual=f))), most)
    return float(apart * found.factor ** (-1.0 / 3.0)) if found is not None and found.factor > 0.0 else None


def nearest(poles: Sequence[Pole], sense: Sequence[str], drive: Sequence[str]) -> float | None:
    """Least distance of a sense and a drive head under one string, m."""
    pairs = product((p for p in poles if p.head.name in sense), (p for p in poles if p.head.name in drive))
    apart = [hypot(a.place.position - b.place.position, a.place.offset - b.place.offset) for a, b in pairs if a.string == b.string]
    return min(apart, default=None)


def with_squeals(sheet: Sheet, found: tuple[Squeal, ...]) -> Sheet:
    """Put into a rig's sheet how near its loops are to squealing."""
    loops = [
        replace(
            loop,
            squeal_growth_per_s=own.growth_per_s,
            squeal_factor=NEVER if own.crosstalk is None else own.crosstalk.factor,
            squeal_factor_Hz=0.0 if own.crosstalk is None else own.crosstalk.frequency_Hz,
            squeal_turned=NEVER if own.turned is None else own.turned.factor,
            squeal_gain=NEVER if own.gain is None else own.gain,
            squeal_distance_m=NEVER if own.distance_m is None else own.distance_m,
        )
        for loop, own in zip(sheet.loops, found, strict=True)
    ]
    return replace(sheet, loops=tuple(loops))
