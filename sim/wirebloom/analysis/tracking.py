"""Eigenvalues of a bench followed from its silent strings on, while a loop is turned up: no two ever end as one, and none changes its name.

Where a string starts there is no doubt: its own modes in the magnets' field, numbered by pitch in each polarisation. From there the
knob is turned in steps. Each step goes along the tangent ds/dg and is then made exact by Newton's method on the logarithm of the
characteristic function, from which all other roots have been divided out (Aberth 1973, Math. Comp. 27:339, from memory): a root that
is taken repels every other. Steps are as short as it takes that no root moves by more than a part of its distance to the nearest.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.analysis.dense import dense_roots, nearest
from wirebloom.analysis.motional import Bench, Complex, Knob, Setting, Strand, admittance, slopes
from wirebloom.kernels.layout import Floats, Ints

ROUNDS = 16  # of Newton's method; three or four do
CLOSE = 1e-8  # of a root's size: a step of Newton's method that is so small leaves the square of it
SLOW = 1e-3  # rad/s: a root of the electronics nearer to 0 is a charge that stays, and no matter of numbers
TINY = 1e-100
HAIR, NEAR = 1e-8, 1e-4  # relative
ROUNDING = 1e-13  # relative: a root met exactly leaves nothing to be inverted
ASIDE, BESIDE = 1e-3, 1e-6  # of a real root's size, of that of one of a pair
APART = 0.25  # of the distance to the nearest other mode that the tangent may be off by
ALONE = 1e-3  # of the other's pace: a mode that moves so little meets none
SHORTEST = 1.0 / 256.0  # of the knob's way: roots that pass through one another are let pass


class Roots(NamedTuple):
    """All roots of a bench: modes (one of each pair) as its strands have them, then all of the electronics."""

    value: Complex  # (M + n,)
    modes: int

    @property
    def strings(self) -> Complex:
        """(M,)."""
        return self.value[: self.modes]

    @property
    def electrical(self) -> Complex:
        """(n,)."""
        return self.value[self.modes :]


def natural(strand: Strand) -> Complex:
    """The strand's modes alone (M,), without magnets."""
    return -strand.decay + 1j * np.sqrt(np.maximum(strand.square - strand.decay**2, 0.0))


def in_the_field(strand: Strand) -> Complex:
    """Its modes (M,) under the stiffness of the magnets and of its own stretch, by pitch in each polarisation, nearly exact."""
    found, side = natural(strand), np.array([p for _, p, _ in strand.place])
    for p in np.unique(side):
        own = np.flatnonzero(side == p)
        shape = strand.shape[:, own]
        square, turn = np.linalg.eigh(np.diag(strand.square[own]) - shape.T @ strand.stiffness @ shape)
        decay = strand.decay[own] @ turn**2
        order = np.argsort(np.argsort(strand.square[own]))
        found[own] = (-decay + 1j * np.sqrt(np.maximum(square - decay**2, 0.0)))[order]
    return found


def newton(bench: Bench, roots: Roots, moving: Ints, setting: Setting) -> tuple[Complex, Complex]:
    """Newton's steps of the moving roots with all others divided out, and how each of them moves as the knob is turned, ds/dg."""
    s, mirrored = roots.value[moving], roots.strings.conj()
    own = slopes(bench, s, setting)
    others = _near(s, roots.value)
    others[np.arange(moving.size), moving] = 0.0
    left = own.by_s - others.sum(axis=1) - _near(s, mirrored).sum(axis=1)
    return -1.0 / left, -own.by_knob / own.by_s


def _near(s: Complex, points: Complex) -> Complex:
    """1/(s − points), (K, …)."""
    apart = s[:, None] - points
    apart[apart == 0.0] = TINY
    return np.asarray(1.0 / apart)


def settle(bench: Bench, roots: Roots, setting: Setting) -> tuple[Roots, Complex] | None:
    """Roots made exact, with the modes' ds/dg (M,); None if the modes do not come to rest. The electronics' may not, where several meet."""
    value, turn = roots.value.copy(), np.zeros(roots.value.size, dtype=complex)
    moving = np.flatnonzero((np.abs(value) > SLOW) | (np.arange(value.size) < roots.modes))
    for _ in range(ROUNDS):
        try:
            step, turn[moving] = newton(bench, Roots(value, roots.modes), moving, setting)
        except np.linalg.LinAlgError:
            value[moving] *= 1.0 + ROUNDING
            continue
        if not np.all(np.isfinite(step)):
            return None
        value[moving] += step
        moving = moving[np.abs(step) > CLOSE * np.abs(value[moving])]
        if moving.size == 0:
            break
    return (Roots(value, roots.modes), turn[: roots.modes]) if np.all(moving >= roots.modes) else None


class Followed(NamedTuple):
    """Modes of a bench along a knob's way: T places."""

    knob: Floats  # (T,)
    value: Complex  # (T, M)
    turn: Complex  # (T, M) ds/dknob
    electrical: Complex  # (n,) at the end
    still: Complex  # (n,) at the beginning

    @property
    def last(self) -> Complex:
        """(M,) at the end."""
        return np.asarray(self.value[-1])


def electrical(setting: Setting) -> Complex:
    """Roots of the electronics with the strings held, of a setting that is the same for all roots; real ones a little off the axis.

    Two real ones may have become a pair with the strings free, and Newton's method never leaves the axis by itself. Pairs are moved by
    less: on the poles themselves that strings make zeros of, nothing but rounding would be left.
    """
    value = np.sort_complex(np.linalg.eigvals(np.linalg.solve(setting.e[0], setting.a[0])))
    side = np.where(np.arange(value.size) % 2, ASIDE, -ASIDE)
    return np.asarray(value * (1.0 + np.where(value.imag == 0.0, 1j * side, BESIDE)), dtype=complex)


def follow(bench: Bench, start: Complex, knob: Knob, way: tuple[float, float], still: Complex | None = None) -> Followed:
    """Follow all modes from nearly exact values (M,) at one end of a knob's way to the other.

    Parameters
    ----------
    bench : Bench
    start : (M,) ndarray
    knob : callable
        Setting at places of the knob.
    way : (float, float)
    still : (n,) ndarray, optional
        Roots of the electronics at the first end, nearly exact, if they are known; modes that nearly coincide are then told apart too.

    Returns
    -------
    Followed
    """
    at, end, step, least = *way, way[1] - way[0], SHORTEST * abs(way[1] - way[0])
    start = told_apart(bench, start, knob(np.array([at]))) if still is None else start
    past = [(at, _settled(bench, start, knob, at, still) or _dense(bench, start, knob, at))]
    while at != end:
        roots, turn = past[-1][1]
        ahead = end if abs(end - at) <= abs(step) else at + step
        aim = roots.strings + (ahead - at) * turn
        found = _settled(bench, aim, knob, ahead)
        if found is None and abs(step) <= least:
            found = _dense(bench, aim, knob, ahead)
        if found is not None and (abs(step) <= least or on_course(aim, found[0].strings, turn)):
            past.append((ahead, found))
            at, step = ahead, 2.0 * step
        else:
            step /= 2.0
    values, turns = [own.strings for _, (own, _) in past], [own for _, (_, own) in past]
    return Followed(np.array([g for g, _ in past]), np.array(values), np.array(turns), past[-1][1][0].electrical, past[0][1][0].electrical)


def _settled(bench: Bench, modes: Complex, knob: Knob, at: float, still: Complex | None = None) -> tuple[Roots, Complex] | None:
    setting = knob(np.array([at]))
    others = electrical(setting) if still is None else still
    return settle(bench, Roots(np.concatenate([parted(modes), others]), modes.size), setting)


def told_apart(bench: Bench, modes: Complex, setting: Setting) -> Complex:
    """Modes that nearly coincide, as those of both polarisations may, each moved by what the coils do to it alone.

    So the one that links more with them ends as the root that is moved more.
    """
    near = np.abs(modes[:, None] - modes) < NEAR * np.abs(modes)
    met = np.flatnonzero(near.sum(axis=1) > 1)
    moved = modes.copy()
    moved[met] = loaded(bench, modes, met, setting)
    return moved


def loaded(bench: Bench, modes: Complex, some: Ints, setting: Setting) -> Complex:
    """Some (K,) of all modes (M,) under what the coils do to each alone: s² + 2σs + ω² = −s lᵀ Y l, l the flux that it links."""
    if bench.flux.size == 0 or some.size == 0:
        return np.asarray(modes[some], dtype=np.complex128)
    linked = np.concatenate([strand.link @ strand.shape for strand in bench.strands], axis=1).T[some]
    return np.asarray(modes[some] - 0.5 * np.einsum("kc,kcd,kd->k", linked, admittance(bench, modes[some], setting), linked))


def parted(modes: Complex) -> Complex:
    """Modes moved a hair apart where they coincide: one point can be led to one root only."""
    met = (np.abs(modes[:, None] - modes) < HAIR * np.abs(modes)[:, None]).sum(axis=1) > 1
    return np.asarray(modes * (1.0 + 1j * HAIR * np.arange(modes.size) * met), dtype=np.complex128)


def _dense(bench: Bench, aim: Complex, knob: Knob, at: float) -> tuple[Roots, Complex]:
    """The same from one large matrix, each mode the root nearest to where it was expected."""
    setting = knob(np.array([at]))
    modes = nearest(aim, dense_roots(bench, setting)) * (1.0 + ROUNDING)
    own = slopes(bench, modes, setting)
    return Roots(np.concatenate([modes, electrical(setting)]), modes.size), np.asarray(-own.by_knob / own.by_s)


def on_course(aim: Complex, found: Complex, turn: Complex) -> bool:
    """Whether no mode came out further from where it was expected than a part of its distance to the nearest that the knob moves too.

    Modes that the knob leaves alone, as it does those of the other polarisation, are passed without harm.
    """
    apart, pace = np.abs(found[:, None] - found), np.abs(turn)
    apart[np.minimum(pace[:, None], pace) < ALONE * np.maximum(pace[:, None], pace)] = np.inf
    np.fill_diagonal(apart, np.inf)
    return bool(np.all(np.abs(found - aim) <= APART * np.minimum(apart.min(axis=1), np.abs(found))))
