"""Coaxial rings of magnetic charge: potential and field of a density cos mθ or sin mθ around the axis.

A ring of radius a at height ζ with unit charge per radian times cos mθ has the potential g_m(r, z) cos mθ with
g_m = Q_{m−1/2}(χ)/(2π √(r a)), χ = (r² + a² + (z − ζ)²)/(2 r a); Q are the toroidal (Legendre) functions of the second kind.

References
----------
H. S. Cohl, J. E. Tohline, "A compact cylindrical Green's function expansion for the solution of potential problems",
Astrophys. J. 527 (1999) 86 (from memory); NIST Handbook of Mathematical Functions (DLMF) 14.10.3, 14.10.5 (recurrences).
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipe, ellipkm1

Floats = NDArray[np.float64]

LOST = 15.0  # the recurrence may go upwards where 2mη is below this, cosh η = χ: it multiplies round-off by e^{2mη}
FORGOTTEN = 22.0  # it goes downwards from n orders above, 2nη at least this: what is wrong with its start shrinks by e^{−2nη}
TIERS = np.array([0.5, 4.0, 100.0])  # values of χ − 1 from which fewer orders will do


class RingField(NamedTuple):
    """Potential g_m and its derivatives with respect to r and z, (M + 1, …), 1/m and 1/m²."""

    potential: Floats
    outwards: Floats
    upwards: Floats


def ring_potential(place: tuple[Floats, Floats], ring: tuple[Floats, Floats], harmonics: int) -> Floats:
    """Potential g_m (M + 1, …), 1/m, for m = 0 … M.

    Parameters
    ----------
    place : (ndarray, ndarray)
        Radius and height where it is wanted, m; the radius not zero.
    ring : (ndarray, ndarray)
        Radius and height of the ring, m.
    harmonics : int
        Highest m.
    """
    product, excess = _product_and_excess(place, ring)
    return np.asarray(toroidal(excess, harmonics) / (2 * pi * np.sqrt(product)))


def ring_field(place: tuple[Floats, Floats], ring: tuple[Floats, Floats], harmonics: int) -> RingField:
    """Potential and its derivatives at `place`, as in `ring_potential`."""
    (r, z), (a, ring_height) = place, ring
    product, excess = _product_and_excess(place, ring)
    q = toroidal(excess, harmonics + 1)
    slope = _slope(q, excess)
    q, scale = q[:-1], 1 / (2 * pi * np.sqrt(product))
    outwards = slope * (1 / a - (1 + excess) / r) - q / (2 * r)
    return RingField(scale * q, scale * outwards, scale * slope * (z - ring_height) / product)


def _product_and_excess(place: tuple[Floats, Floats], ring: tuple[Floats, Floats]) -> tuple[Floats, Floats]:
    """r a, and χ − 1 without cancellation."""
    (r, z), (a, ring_height) = place, ring
    product = r * a
    return product, ((r - a) ** 2 + (z - ring_height) ** 2) / (2 * product)


def toroidal(excess: Floats, harmonics: int) -> Floats:
    """Q_{m−1/2}(1 + excess) for m = 0 … M: (M + 1, …).

    Examples
    --------
    >>> toroidal(np.array([1.0]), 1).round(8).tolist()  # Q of degree -1/2 and 1/2 at 2, by the hypergeometric series
    [[1.65663817], [0.22401429]]
    """
    if harmonics == 0:
        return toroidal(excess, 1)[:1]
    flat = excess.ravel()
    q = np.empty((harmonics + 1, flat.size))
    starts = [float(np.cosh(LOST / (2 * harmonics)) - 1)]
    starts += [tier for tier in TIERS.tolist() if tier > starts[0]]
    near = flat < starts[0]
    q[:, near] = _upwards(flat[near], harmonics)
    for start, stop in zip(starts, [*starts[1:], np.inf], strict=True):
        part = (flat >= start) & (flat < stop)
        above = int(np.ceil(FORGOTTEN / (2 * np.arccosh(1 + start))))
        q[:, part] = _downwards(flat[part], harmonics, above)
    return q.reshape(harmonics + 1, *excess.shape)


def _lowest(excess: Floats) -> Floats:
    """Q_{−1/2} = k K(k), k² = 2/(χ + 1)."""
    return np.asarray(np.sqrt(2 / (2 + excess)) * ellipkm1(excess / (2 + excess)))


def _upwards(excess: Floats, harmonics: int) -> Floats:
    """(m + ½) Q_{m+1/2} = 2m χ Q_{m−1/2} − (m − ½) Q_{m−3/2}, from Q_{−1/2} and Q_{1/2}."""
    q = np.empty((harmonics + 1, excess.size))
    q[0] = _lowest(excess)
    q[1] = (1 + excess) * q[0] - np.sqrt(2 * (2 + excess)) * ellipe(2 / (2 + excess))
    for m in range(1, harmonics):
        q[m + 1] = (2 * m * (1 + excess) * q[m] - (m - 0.5) * q[m - 1]) / (m + 0.5)
    return q


def _downwards(excess: Floats, harmonics: int, above: int) -> Floats:
    """The same recurrence for the ratios Q_{m−1/2}/Q_{m−3/2} from far above, where they tend to e^{−η}."""
    chi = 1 + excess
    ratio = 1 / (chi + np.sqrt(excess * (2 + excess)))
    q = np.empty((harmonics + 1, excess.size))
    for m in range(harmonics + above, 0, -1):
        ratio = (m - 0.5) / (2 * m * chi - (m + 0.5) * ratio)
        if m <= harmonics:
            q[m] = ratio
    q[0] = _lowest(excess)
    for m in range(1, harmonics + 1):
        q[m] *= q[m - 1]
    return q


def _slope(q: Floats, excess: Floats) -> Floats:
    """dQ/dχ for m = 0 … M from Q for m = 0 … M + 1: (χ² − 1) Q′_ν = ν (χ Q_ν − Q_{ν−1}), and Q_{−3/2} = Q_{1/2}."""
    below = np.concatenate([q[1:2], q[:-2]])
    order = np.arange(q.shape[0] - 1.0).reshape(-1, *(1,) * excess.ndim) - 0.5
    return np.asarray(order * ((1 + excess) * q[:-1] - below) / (excess * (2 + excess)))
