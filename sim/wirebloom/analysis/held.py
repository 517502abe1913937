"""A rig's electronics with the strings held, at the strings' own pitches: what a string's motion makes flow, and the noise beside it.

A string that moves over a head changes the flux linkage of its coil, and of its core, by link · u. Held, the electronics answer to
that as to an EMF of −link · u̇: currents i = −Y link u̇, and the force on the string is linkᵀ i. Two heads of one loop make of it, for
one partial of velocity q̇, −(Σ K_d φ_d) Y_ds (Σ K_s φ_s) q̇: what has the sign of q̇ feeds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components

from wirebloom.analysis.linear import Linear, linearise
from wirebloom.analysis.modes import pole_strings
from wirebloom.analysis.noise import densities, output_rows
from wirebloom.kernels.layout import Floats, Ints, Model

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled

Complex = NDArray[np.complex128]


@dataclass(frozen=True)
class Answer:
    """Electronics at the partials (N,) of one string.

    Attributes
    ----------
    hertz : (N,) ndarray
        Towards the heads, without magnets.
    flow : (N, C + 2H, C + 2H) ndarray
        Y: currents of coils and of shorted turns per EMF in each of them, 1/Ω.
    heard : (N, A) ndarray
        Output of every loop per EMF in its sense coils.
    noise : (N, A) ndarray
        Density at every loop's output, V/√Hz.
    """

    hertz: Floats
    flow: Complex
    heard: Complex
    noise: Floats


@dataclass(frozen=True)
class Held:
    """A compiled rig with its strings held at rest.

    Attributes
    ----------
    linear : Linear
        Of the electronics.
    answers : tuple of Answer
        String by string.
    """

    linear: Linear
    answers: tuple[Answer, ...]


def held(compiled: Compiled) -> Held:
    """Hold the strings of a compiled rig and look at its electronics."""
    linear = linearise(compiled, strings=False)
    return Held(linear, tuple(_answer(compiled.model, linear, modes.frequency[0]) for modes in compiled.modes))


def _answer(model: Model, linear: Linear, hertz: Floats) -> Answer:
    flux, coils = linear.states("flux", "eddy"), model.coils.area.size
    count, loops = linear.matrix.shape[0], coils // 2
    emf = np.zeros((count, flux.size))
    emf[flux, np.arange(flux.size)] = 1.0
    into = np.concatenate([emf, linear.into[:, linear.inputs["input"]]], axis=1)
    inner = _answered(linear.matrix, into, np.asarray(2j * np.pi * hertz))
    meter = linear.out["meter"][output_rows(loops).astype(np.int64)] @ inner
    flow = np.linalg.inv(linear.magnets.inductance) @ inner[:, flux, : flux.size]
    source = densities(model)
    every = np.concatenate([source["emf"], np.zeros(flux.size - coils), source["input"]])
    return Answer(
        hertz=hertz,
        flow=np.asarray(flow, dtype=np.complex128),
        heard=meter[:, np.arange(loops), 2 * np.arange(loops)],
        noise=np.sqrt(np.abs(meter) ** 2 @ every**2),
    )


def _answered(matrix: Floats, into: Floats, s: Complex) -> Complex:
    """(s − matrix)⁻¹ into, (K, n, m), group by group of states that act on one another."""
    found = np.zeros((s.size, *into.shape), dtype=complex)
    groups, label = connected_components(matrix != 0.0, directed=False)
    for g in range(groups):
        own = np.flatnonzero(label == g)
        given = np.flatnonzero(np.any(into[own] != 0.0, axis=0))
        right = np.broadcast_to(into[np.ix_(own, given)].astype(complex), (s.size, own.size, given.size))
        found[:, own[:, None], given] = np.linalg.solve(s[:, None, None] * np.eye(own.size) - matrix[np.ix_(own, own)], right)
    return found


def own_poles(model: Model, s: int) -> Ints:
    """The time loop's poles under one string."""
    return np.flatnonzero(pole_strings(model) == s)


def reach(compiled: Compiled, found: Held, s: int) -> Floats:
    """Flux linkage of coils and shorted turns per displacement of every partial of one string, and by it force per current.

    Returns
    -------
    (C + 2H, 2, N) ndarray
        V s/m, N/A.
    """
    own, count = own_poles(compiled.model, s), compiled.modes[s].wavenumber.size
    link = found.linear.magnets.link
    link = link.reshape(link.shape[0], -1, 2)[:, own]
    return np.asarray(np.einsum("cjp,jn->cpn", link, compiled.model.poles.weight[own, :count]))


def loop_rows(model: Model, loop: int) -> tuple[Ints, Ints]:
    """Rows of one loop's sense and drive coils, each with the shorted turns of its cores."""
    coils, cores = model.coils.area.size, np.repeat(model.cores.circuit, 2)
    sense, drive = (np.append(np.array([c]), coils + np.flatnonzero(cores == c)) for c in (2 * loop, 2 * loop + 1))
    return sense, drive
