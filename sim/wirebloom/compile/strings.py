"""Strings of the rig → modes in equal rows, padded with dead ones."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirebloom.kernels.layout import Floats, Strings
from wirebloom.physics.string import StringModes

LANES = 16  # rows are padded to a multiple of this: four vectors of four numbers, so that every pass over them vectorises whole


def padded_count(modes: Sequence[StringModes]) -> int:
    """Common length N of all rows."""
    return -(-max(m.wavenumber.size for m in modes) // LANES) * LANES


def padded(rows: Sequence[Floats], count: int) -> Floats:
    """Rows (…, N_s) of different lengths stacked as (S, …, count), zeros behind."""
    widths = [[(0, 0)] * (row.ndim - 1) + [(0, count - row.shape[-1])] for row in rows]
    return np.ascontiguousarray(np.stack([np.pad(row, width) for row, width in zip(rows, widths, strict=True)]))


def lay_out_strings(modes: Sequence[StringModes]) -> Strings:
    """All strings' modes as the loop takes them."""
    count = padded_count(modes)
    return Strings(
        inverse_mass=np.array([1.0 / m.mass for m in modes]),
        inverse_density=np.array([1.0 / m.density for m in modes]),
        stretch=np.array([m.axial / 4.0 for m in modes]),
        curvature=padded([m.wavenumber**2 for m in modes], count),
        bridge=padded([m.bridge for m in modes], count),
        frequency=padded([2.0 * np.pi * m.frequency for m in modes], count),
        decay=padded([m.decay for m in modes], count),
    )
