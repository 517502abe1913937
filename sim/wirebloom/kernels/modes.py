"""Passes over the modes of one string in one polarisation: read only, or kick and rotate.

Read-only and writing passes are kept apart because only then both vectorise. The first two poles of a string (its sense and
its drive head, as a rule) ride along in the passes; further ones take passes of their own.
"""

from wirebloom.kernels.compiler import kernel

QQ, QV, VQ, VV = 0, 1, 2, 3  # rows of a turn (4, N): q⁺ = QQ q + QV v, v⁺ = VQ q + VV v
CURVATURE, BRIDGE, FIRST, SECOND = 0, 1, 2, 3  # rows of a shape (4, N): k² (m⁻²), N/m, weights at the first and second pole


@kernel
def dot(a, b):
    """Σ a_n b_n of two (N,) rows."""
    total = 0.0
    for n in range(a.shape[0]):
        total += a[n] * b[n]
    return total


@kernel
def read(q, shape):
    """Σ k_n² q_n² (1), the bridge force (N) and the motion at the two front poles (m) of one row, in one pass."""
    bent, force, first, second = 0.0, 0.0, 0.0, 0.0
    for n in range(q.shape[0]):
        here = q[n]
        bent += shape[CURVATURE, n] * here * here
        force += shape[BRIDGE, n] * here
        first += shape[FIRST, n] * here
        second += shape[SECOND, n] * here
    return bent, force, first, second


@kernel
def push(v, weight, amount):
    """v += amount · weight, in place: an impulse at a point. Returns Σ dv (v + v⁺); times m/2 it is the work done, J."""
    twice = 0.0
    for n in range(v.shape[0]):
        change = amount * weight[n]
        twice += change * (2.0 * v[n] + change)
        v[n] += change
    return twice


@kernel
def kick(q, v, shape, first, second, tighten):
    """v += first · φ̄₁ + second · φ̄₂ − tighten · k² q, in place. Returns the same sum as `push`.

    first, second = (h/m)·force (m/s), tighten = h ΔT/μ (m²/s).
    """
    twice = 0.0
    for n in range(q.shape[0]):
        change = first * shape[FIRST, n] + second * shape[SECOND, n] - tighten * shape[CURVATURE, n] * q[n]
        twice += change * (2.0 * v[n] + change)
        v[n] += change
    return twice


@kernel
def rotate(q, v, turn):
    """Exact damped motion of one row over the span of the turn (4, N), in place."""
    for n in range(q.shape[0]):
        old = q[n]
        q[n] = turn[QQ, n] * old + turn[QV, n] * v[n]
        v[n] = turn[VQ, n] * old + turn[VV, n] * v[n]


@kernel
def kick_and_rotate(q, v, shape, first, second, tighten, turn):
    """`kick`, then `rotate`, in one pass over the row."""
    twice = 0.0
    for n in range(q.shape[0]):
        old = q[n]
        change = first * shape[FIRST, n] + second * shape[SECOND, n] - tighten * shape[CURVATURE, n] * old
        speed = v[n] + change
        twice += change * (v[n] + speed)
        q[n] = turn[QQ, n] * old + turn[QV, n] * speed
        v[n] = turn[VQ, n] * old + turn[VV, n] * speed
    return twice
