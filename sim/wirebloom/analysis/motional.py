"""Small motions of a rig as a few equations a frequency, instead of one large matrix: strings as inductances that move.

A string meets its heads in few numbers: u = R(s) f at its poles, and its own stretch at rest, with R = P diag(1/(s² + 2σs + ω²)) Pᵀ.
With the magnets' stiffness S that is u = (1 − R S)⁻¹ R kᵀ i under currents i; moved, it links the flux φ = k u = M(s) i with the
coils: a motional inductance. The electronics answer with the currents i = −s Y(s) φ, Y = L⁻¹ (s E − A)⁻¹ the admittance of coils,
cores and network. So the whole rig's characteristic equation, with all its eigenvalues as roots, is

    Π (s² + 2σs + ω²) · det(1 − R S) · det(s E − A) · det(1 + s Y M) = 0.

E = 1 but for a loop opened in the leads of its sense coils: there the EMF that strings and other coils cause is multiplied by g, as
by an amplifier in those leads; 0 leaves the loop open.

References
----------
Butterworth 1915, "On electrically-maintained vibrations", Proc. Phys. Soc. 27:410 (from memory): motion as an impedance of its coil.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.kernels.layout import Floats, Ints

Complex = NDArray[np.complex128]
NEAR = 1e-12  # s⁻²: a pole that is met is missed by that


class Strand(NamedTuple):
    """One string, its modes alive, in both polarisations: M of them."""

    square: Floats  # (M,) ω² with the tension at rest, s⁻²
    decay: Floats  # (M,) σ, s⁻¹
    shape: Floats  # (r, M) motion at the poles (towards, sideways, …), and last the stretch, per modal motion, over √mass
    stiffness: Floats  # (r, r) of magnets and stretch, force per motion, N/m
    link: Floats  # (c, r) flux per motion, Wb/m
    place: tuple[tuple[int, int, int], ...]  # string, polarisation, partial from 0, of every mode


class Bench(NamedTuple):
    """Strings and electronics that act on one another: n states of the electronics, c of them fluxes, A loops."""

    strands: tuple[Strand, ...]
    matrix: Floats  # (n, n) A, strings held
    flux: Ints  # (c,) states that are fluxes
    inductance: Floats  # (c, c) H
    own: tuple[Ints, ...]  # of every loop: flux of its sense coils; empty if the loop is not in here
    stages: tuple[tuple[int, int, float, float], ...]  # state, loop, rate (rad/s), gain of every stage that no rail holds


class Setting(NamedTuple):
    """Where a knob stands at each of K roots, or at all of them (1), and what turning it changes: E, A and the factors g."""

    e: Floats  # (K, n, n)
    a: Floats  # (K, n, n)
    factor: Floats  # (K, c)
    de: Floats  # (1, n, n)
    da: Floats  # (K, n, n)
    dfactor: Floats  # (1, c)


Knob = Callable[[Floats], Setting]


class Slopes(NamedTuple):
    """Of the logarithm of the characteristic function, (K,) each."""

    by_s: Complex
    by_knob: Complex


def cut(bench: Bench, loops: Ints) -> tuple[Floats, Floats]:
    """What a factor in the sense leads of these loops multiplies: (n, n) of E, (c,) marks of the fluxes.

    All flux of a sense coil but that of its own current; eddy currents that the string raises in its core go on braking it.
    """
    size, mark = bench.flux.size, np.zeros(bench.flux.size)
    change, inverse = np.zeros((size, size)), np.linalg.inv(bench.inductance)
    for loop in loops:
        rows = bench.own[loop]
        mark[rows] = 1.0
        change[rows, rows] += 1.0
        change[rows] -= bench.inductance[np.ix_(rows, rows)] @ inverse[rows]
    whole = np.zeros_like(bench.matrix)
    whole[np.ix_(bench.flux, bench.flux)] = change
    return whole, mark


def heard(bench: Bench, factor: Floats, loops: Ints) -> Setting:
    """These loops' sense coils heard `factor` (K,) times as loud, all other loops as they are."""
    return hearing(bench, loops)(factor)


def hearing(bench: Bench, loops: Ints) -> Knob:
    """How loud these loops hear their sense coils, all other loops as they are."""
    (change, mark), n = cut(bench, loops), bench.matrix.shape[0]
    still = np.zeros((1, n, n))

    def knob(factor: Floats) -> Setting:
        more = np.asarray(factor, dtype=float)[:, None] - 1.0
        return Setting(np.eye(n) + more[:, :, None] * change, bench.matrix[None], 1.0 + more * mark, change[None], still, mark[None])

    return knob


def amplified(bench: Bench, factor: Floats, loops: Ints) -> Setting:
    """Gain of all stages of these loops `factor` (K,) times as large, their products of gain and bandwidth as they are."""
    n, g = bench.matrix.shape[0], np.asarray(factor, dtype=float)
    a, da = np.repeat(bench.matrix[None], g.size, axis=0), np.zeros((g.size, n, n))
    for state, loop, rate, gain in bench.stages:
        if loop in loops:
            a[:, state, state] += rate / gain * (1.0 - 1.0 / g)
            da[:, state, state] = rate / gain / g**2
    return Setting(np.eye(n)[None], a, np.ones((1, bench.flux.size)), np.zeros((1, n, n)), da, np.zeros((1, bench.flux.size)))


def turned(bench: Bench) -> Bench:
    """The same with the leads of all sense coils swapped: the other polarity of all loops."""
    sign = np.ones(bench.flux.size)
    for rows in bench.own:
        sign[rows] = -1.0
    inductance, matrix = sign[:, None] * bench.inductance * sign, bench.matrix.copy()
    matrix[:, bench.flux] = matrix[:, bench.flux] @ bench.inductance @ np.linalg.inv(inductance)
    strands = tuple(strand._replace(link=sign[:, None] * strand.link) for strand in bench.strands)
    return bench._replace(strands=strands, matrix=matrix, inductance=inductance)


class Answer(NamedTuple):
    """Of one string at s (K,)."""

    compliance: Complex  # (K, r, r) R, m/N
    slope: Complex  # (K, r, r) dR/ds
    modes: Complex  # (K,) slope of ln Π (s² + 2σs + ω²)


def answer(strand: Strand, s: Complex) -> Answer:
    """A string alone. All from the same rounded s² + 2σs + ω²: next to a pole they must cancel."""
    rows, modes = strand.shape.shape
    pairs = (strand.shape[:, None] * strand.shape).reshape(-1, modes).T
    term = (s[:, None] + 2.0 * strand.decay) * s[:, None] + strand.square
    term[term == 0.0] = NEAR
    one = 1.0 / term
    drag = 2.0 * (s[:, None] + strand.decay) * one
    both = np.concatenate([one, -drag * one])
    whole = (both.real @ pairs + 1j * (both.imag @ pairs)).reshape(2, s.size, rows, rows)
    return Answer(whole[0], whole[1], drag.sum(axis=1))


def motional(bench: Bench, s: Complex) -> tuple[Complex, Complex, Complex]:
    """M (K, c, c) of all strings, H, its derivative, and that of ln Π (s² + 2σs + ω²) det(1 − R S) (K,)."""
    size = bench.flux.size
    whole, slope = (np.zeros((s.size, size, size), dtype=complex) for _ in range(2))
    bent = np.zeros(s.size, dtype=complex)
    for strand in bench.strands:
        own = answer(strand, s)
        inner = np.linalg.inv(np.eye(strand.stiffness.shape[0]) - own.compliance @ strand.stiffness)
        whole += strand.link @ (inner @ own.compliance) @ strand.link.T
        slope += strand.link @ (inner @ own.slope @ inner.transpose(0, 2, 1)) @ strand.link.T
        bent += own.modes - _trace(inner @ own.slope, strand.stiffness[None])
    return whole, slope, bent


def _trace(a: Complex, b: Complex | Floats) -> Complex:
    """Of a · b, (K,)."""
    return np.asarray(np.einsum("kij,kji->k", a, b), dtype=np.complex128)


def admittance(bench: Bench, s: Complex, setting: Setting) -> Complex:
    """Y (K, c, c) at s (K,), 1/H per rad/s."""
    z = np.linalg.inv(s[:, None, None] * setting.e - setting.a)[:, bench.flux][:, :, bench.flux]
    return np.asarray(np.linalg.inv(bench.inductance) @ z * setting.factor[:, None, :])


def slopes(bench: Bench, s: Complex, setting: Setting) -> Slopes:
    """Logarithmic slopes of the characteristic function at s (K,), by s and by the knob."""
    at, flux, g = s[:, None, None], bench.flux, setting.factor[:, None, :]
    m, dm, bent = motional(bench, s)
    z = np.asarray(np.linalg.inv(at * setting.e - setting.a), dtype=np.complex128)
    inverse = np.linalg.inv(bench.inductance)
    down, up, there = inverse @ z[:, flux, :], z[:, :, flux] * g, inverse @ z[:, flux][:, :, flux]
    y, knob = there * g, at * setting.de - setting.da
    core = np.asarray(np.linalg.inv(np.eye(flux.size) + at * y @ m), dtype=np.complex128)
    turned = np.asarray((y - at * down @ setting.e @ up) @ m + at * y @ dm, dtype=np.complex128)
    louder = np.asarray(at * (there * setting.dfactor[:, None, :] - down @ knob @ up) @ m, dtype=np.complex128)
    return Slopes(bent + _trace(z, setting.e) + _trace(core, turned), _trace(z, knob) + _trace(core, louder))
