"""Head tables: uniform cubic B-splines over gap and sideways offset, with their exact slopes."""

import numpy as np

from wirebloom.kernels.compiler import kernel, ordered


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


@ordered
def blend(c, row, column, w):
    """Σ_b w_b c[row, column + b] of all four parts of a table at once."""
    one, two, three = column + np.uint64(1), column + np.uint64(2), column + np.uint64(3)
    return (
        (w[0] * c[row, column, 0] + w[1] * c[row, one, 0]) + (w[2] * c[row, two, 0] + w[3] * c[row, three, 0]),
        (w[0] * c[row, column, 1] + w[1] * c[row, one, 1]) + (w[2] * c[row, two, 1] + w[3] * c[row, three, 1]),
        (w[0] * c[row, column, 2] + w[1] * c[row, one, 2]) + (w[2] * c[row, two, 2] + w[3] * c[row, three, 2]),
        (w[0] * c[row, column, 3] + w[1] * c[row, one, 3]) + (w[2] * c[row, two, 3] + w[3] * c[row, three, 3]),
    )


@ordered
def store(out, w, a, b, c, d):
    """out[0:4] = Σ of four blends, weighted."""
    out[0] = (w[0] * a[0] + w[1] * b[0]) + (w[2] * c[0] + w[3] * d[0])
    out[1] = (w[0] * a[1] + w[1] * b[1]) + (w[2] * c[1] + w[3] * d[1])
    out[2] = (w[0] * a[2] + w[1] * b[2]) + (w[2] * c[2] + w[3] * d[2])
    out[3] = (w[0] * a[3] + w[1] * b[3]) + (w[2] * c[3] + w[3] * d[3])


@ordered
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
    g1, g2, g3 = g + np.uint64(1), g + np.uint64(2), g + np.uint64(3)
    p0, p1, p2, p3 = blend(c, g, y, by), blend(c, g1, y, by), blend(c, g2, y, by), blend(c, g3, y, by)
    s0, s1, s2, s3 = blend(c, g, y, dy), blend(c, g1, y, dy), blend(c, g2, y, dy), blend(c, g3, y, dy)
    store(out[0:4], bg, p0, p1, p2, p3)
    store(out[4:8], dg, p0, p1, p2, p3)
    store(out[8:12], bg, s0, s1, s2, s3)
