"""What a pole's co-energy says over the whole range of a motion: a dense table over the gap, a second-order one sideways."""

from __future__ import annotations

import numpy as np

from wirebloom.kernels.layout import Floats, Model
from wirebloom.physics.bspline import weights

ROWS = 1024  # along the gap: straight lines between them are off by some 1e-6 of a value
ASIDE = 1e-7  # m, for the second derivative sideways
# columns: slopes along the gap of W₀, Λ, L₁, then Λ, L₁; behind them the same and W₀ with first and second derivatives sideways
PLAIN = 6


class Ranges:
    """Co-energy W₀, Λ, L₁ of every pole about its rest offset.

    Parameters
    ----------
    model : Model
    offset : (J,) ndarray
        Where the string rests sideways, m.
    """

    def __init__(self, model: Model, offset: Floats) -> None:
        t = model.poles.table
        cells = model.tables.coefficient.shape[1] - 3
        self.start = model.tables.gap_start[t]
        self.step = model.tables.gap_step[t] * cells / (ROWS - 1)
        rows = np.stack([_dense(model, j, float(offset[j])) for j in range(t.size)]) if t.size else np.zeros((0, ROWS, 18))
        rises = np.diff(rows, axis=1)
        self.whole, self.plain = (rows, rises), (rows[:, :, :PLAIN].copy(), rises[:, :, :PLAIN].copy())

    def read(self, pole: int, gap: Floats, aside: Floats | None = None) -> tuple[Floats, Floats, Floats | None]:
        """Parts (…, 3) of the co-energy at a gap, and of its slopes towards the head and (if aside, m, is given) sideways.

        Units per part: J, Wb, H; slopes per m.
        """
        place = np.clip((gap - self.start[pole]) / self.step[pole], 0.0, ROWS - 1.001)
        row = place.astype(np.int64)
        share = (place - row)[..., None]
        rows, rises = self.plain if aside is None else self.whole
        found = share * rises[pole].take(row, axis=0)
        found += rows[pole].take(row, axis=0)
        if aside is None:
            return found[..., :3], -found[..., 3:6], None
        y = aside[..., None]
        value = found[..., :3] + y * (found[..., 6:9] + 0.5 * y * found[..., 12:15])
        slope = found[..., 3:6] + y * (found[..., 9:12] + 0.5 * y * found[..., 15:18])
        return value, -slope, found[..., 6:9] + y * found[..., 12:15]


def _dense(model: Model, pole: int, offset: float) -> Floats:
    """(ROWS, 18): value, gap slope; the same once and twice differentiated sideways."""
    t = int(model.poles.table[pole])
    tables, shape = model.tables, model.tables.coefficient[t].shape
    start, step = float(tables.gap_start[t]), float(tables.gap_step[t])
    gap = start + step * np.linspace(0.0, shape[0] - 3.0, ROWS)
    along = [weights(gap, start, step, shape[0], order) for order in (0, 1)]
    across = _across(tables.coefficient[t][:, :, :3], offset, (float(tables.offset_start[t]), float(tables.offset_step[t])))
    four = np.arange(4)
    parts = [np.einsum("ka,kab->kb", weight, line[row[:, None] + four]) for line in across for row, weight in along]
    return np.concatenate(parts, axis=1)


def _across(table: Floats, offset: float, axis: tuple[float, float]) -> list[Floats]:
    """Table (G, 3) at an offset: value, slope and curvature sideways."""

    def at(place: float, order: int) -> Floats:
        first, weight = weights(np.array([place]), *axis, table.shape[1], order)
        return np.asarray(np.einsum("b,gbk->gk", weight[0], table[:, first[0] : first[0] + 4]))

    return [at(offset, 0), at(offset, 1), (at(offset + ASIDE, 1) - at(offset - ASIDE, 1)) / (2.0 * ASIDE)]
