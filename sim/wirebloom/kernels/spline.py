"""Head tables: uniform cubic B-splines over gap and sideways offset, with their exact slopes."""

import numpy as np

from wirebloom.kernels.compiler import kernel


@kernel
def cell(place, start, per_step, count):
    """Cell number and position within it (0 … 1), held at the table's ends; and 1/step there (m⁻¹), 0 when held.

    `place` and `start` in m, `per_step` = 1/step; `count` is the number of coefficients along the axis.
    """
    s = (place - start) * per_step
    last = count - 3
    if not s > 0.0:
        return 0, 0.0, 0.0
    if s >= last:
        return last - 1, 1.0, 0.0
    c = int(s)
    return c, s - c, per_step


@kernel
def basis(t, slope_scale):
    """The four cubic B-splines at t and their slopes times `slope_scale`."""
    r = 1.0 - t
    t2 = t * t
    r2 = r * r
    b = (r2 * r * (1.0 / 6.0), (0.5 * t - 1.0) * t2 + 2.0 / 3.0, (0.5 * r - 1.0) * r2 + 2.0 / 3.0, t2 * t * (1.0 / 6.0))
    half = 0.5 * slope_scale
    d = (-r2 * half, (3.0 * t - 4.0) * t * half, (4.0 - 3.0 * r) * r * half, t2 * half)
    return b, d


@kernel
def look_up(c, axes, gap, offset, out):
    """Co-energy parts of a wire over a head and their slopes.

    Writes out[0:3] = W₀ (J), Λ (Wb), L₁ (H); out[4:7] = ∂/∂gap; out[8:11] = ∂/∂offset of the same; each fourth place is
    a pad, so that all four go through the arithmetic side by side. Beyond its ends a table is constant, so that force and
    energy stay consistent. c (G, Y, 4) coefficients; axes (4,) = start and 1/step of the gap and of the offset; gap,
    offset in m; out (12,).
    """
    g, t, gap_scale = cell(gap, axes[0], axes[1], c.shape[0])
    y, r, offset_scale = cell(offset, axes[2], axes[3], c.shape[1])
    bg, dg = basis(t, gap_scale)
    by, dy = basis(r, offset_scale)
    g, y = np.uint64(g), np.uint64(y)  # unsigned: no check for a negative index
    one, two, three = np.uint64(1), np.uint64(2), np.uint64(3)
    for f in range(4):
        value, by_gap, by_offset = 0.0, 0.0, 0.0
        for a in range(4):
            row = g + np.uint64(a)
            c0, c1, c2, c3 = c[row, y, f], c[row, y + one, f], c[row, y + two, f], c[row, y + three, f]
            across = by[0] * c0 + by[1] * c1 + by[2] * c2 + by[3] * c3
            value += bg[a] * across
            by_gap += dg[a] * across
            by_offset += bg[a] * (dy[0] * c0 + dy[1] * c1 + dy[2] * c2 + dy[3] * c3)
        out[f], out[4 + f], out[8 + f] = value, by_gap, by_offset
