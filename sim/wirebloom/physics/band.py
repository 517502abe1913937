"""How far force factor and pull of a head over a string may be off, and how one measured value narrows that.

Every quantity that is not known well (of the wire, the magnets, the gap, the winding) is independent of the others, and one
standard deviation of it, up or down, changes ln K and ln P by its slopes. What several heads share (the wire) goes by one name, so
a value measured at one head tells of the others. At each end the slopes add as squares. A measured value is told of by the same
names, and conditions the Gaussian of each end: with slopes A of what is asked and M of what was measured, error N, residual r,

    shift = A Mᵀ (M Mᵀ + N)⁻¹ r,    variance = A Aᵀ − A Mᵀ (M Mᵀ + N)⁻¹ M Aᵀ

(conditional Gaussian, textbook). The two ends have their own slopes, as most of these ranges are not symmetric in the logarithm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics.head_table import REMANENCE, SOURCES, HeadTable

Floats = NDArray[np.float64]
Source = tuple[str, ...]  # what is not known, and of which string or head
Slopes = Mapping[Source, tuple[float, float]]  # change of a logarithm by one standard deviation, at the weak and the strong end
FACTOR, PULL = 0, 1
CLOSED = 1e-5  # m: a gap is not set nearer than this


class PoleBand(NamedTuple):
    """How far a string over a head may be from what is computed.

    Attributes
    ----------
    factor, pull : (float, float)
        Weak and strong end of force factor and pull over their values; 1 and 1 where nothing is known of them.
    note : str
        What a measured value did to them; empty if nothing was measured.
    """

    factor: tuple[float, float] = (1.0, 1.0)
    pull: tuple[float, float] = (1.0, 1.0)
    note: str = ""

    @property
    def known(self) -> bool:
        """Whether there is a band at all."""
        return self.factor != (1.0, 1.0) or self.pull != (1.0, 1.0)


UNKNOWN = PoleBand()


@dataclass(frozen=True)
class Spread:
    """Standard deviations of a head as built: of its magnets' remanence and its turns (shares), and of its gap (m)."""

    remanence: float
    turns: float
    gap: float


class Reading(NamedTuple):
    """A measured value: its slopes, ln of it over the computed one, and the standard error of that."""

    slopes: Slopes
    residual: float
    error: float


class Known(NamedTuple):
    """What is known of some logarithms (Z,): by how much their values move, and how far below and above them they may lie."""

    shift: Floats
    low: Floats
    high: Floats


def pole_slopes(table: HeadTable, gap: float, offset: float, names: tuple[str, str, str], spread: Spread) -> tuple[Slopes, Slopes]:
    """Slopes of ln K and ln P of a string over a head.

    Parameters
    ----------
    table : HeadTable
    gap, offset : float
        Where the string stands, m.
    names : (str, str, str)
        Of the string, of the head, and of the setting of the gap.
    spread : Spread

    Returns
    -------
    tuple of Slopes
        Of force factor and pull. Empty for a table without a band: one that was measured.
    """
    if table.band.shape[1] == 0:
        return {}, {}
    string, head, setting = names
    wire = {_named(source, string, head): shift for source, shift in zip(SOURCES, _at(table, gap), strict=True)}
    wire["remanence", head] = wire["remanence", head] * (spread.remanence / REMANENCE)
    wire["turns", head] = np.array([[np.log1p(-spread.turns), 0.0], [np.log1p(spread.turns), 0.0]])
    wire["gap", head, setting] = _gap_shifts(table, gap, offset, spread.gap)
    return ({source: _ends(shift[:, FACTOR]) for source, shift in wire.items()},
            {source: _ends(shift[:, PULL]) for source, shift in wire.items()})  # fmt: skip


def _named(source: str, string: str, head: str) -> Source:
    """All heads over a string share what is not known of its wire."""
    return (source, head) if source == "remanence" else (source, string)


def _at(table: HeadTable, gap: float) -> Floats:
    """Shifts (Q, 2, 2) at a gap."""
    flat = table.band.reshape(table.band_gap.size, -1)
    return np.array([np.interp(gap, table.band_gap, column) for column in flat.T]).reshape(table.band.shape[1:])


def _gap_shifts(table: HeadTable, gap: float, offset: float, spread: float) -> Floats:
    """ln ratios (2, 2) with the gap wider and narrower by its standard deviation."""
    rows = [[table.force_factor(at, offset), table.pull(at, offset)] for at in (gap, gap + spread, max(gap - spread, min(gap, CLOSED)))]
    sizes = np.abs(np.array(rows))
    shifts = np.log(np.where(sizes[0] > 0.0, np.where(sizes[1:] > 0.0, sizes[1:], sizes[0]) / np.where(sizes[0] > 0.0, sizes[0], 1.0), 1.0))
    if gap + spread > table.gap[-1]:
        shifts[0] = -shifts[1]  # no force is known beyond the table: it falls on as it does before its end
    return np.asarray(shifts)


def _ends(shift: Floats) -> tuple[float, float]:
    """Slopes downwards and upwards, with the sign of the direction in which the source acts."""
    sign = 1.0 if shift[1] >= shift[0] else -1.0
    return sign * max(0.0, -float(shift.min())), sign * max(0.0, float(shift.max()))


def condition(asked: Sequence[Slopes], readings: Sequence[Reading] = ()) -> Known:
    """What is known of some quantities after all readings.

    Parameters
    ----------
    asked : sequence of Slopes
        Of each quantity.
    readings : sequence of Reading

    Returns
    -------
    Known

    Examples
    --------
    A factor of 2 either way, and one reading of the same quantity that is half as sure:

    >>> wire = {("wire",): (0.7, 0.7)}
    >>> known = condition([wire], [Reading(wire, 0.2, 0.7)])
    >>> f"{known.shift[0]:.2f} {known.low[0]:.2f} {known.high[0]:.2f}"
    '0.10 -0.49 0.49'
    """
    sources = list(dict.fromkeys(source for slopes in (*asked, *(reading.slopes for reading in readings)) for source in slopes))
    residual = np.array([reading.residual for reading in readings])
    error = np.diag([reading.error**2 for reading in readings]) if readings else np.zeros((0, 0))
    sides = [
        _conditioned(_matrix(asked, sources, end), _matrix([r.slopes for r in readings], sources, end), error, residual) for end in range(2)
    ]
    towards = 0 if residual.sum() < 0.0 else 1
    return Known(sides[towards][0], -sides[0][1], sides[1][1])


def surprise(reading: Reading) -> float:
    """How many standard deviations of what was expected a reading lies off."""
    end = 0 if reading.residual < 0.0 else 1
    expected = sum(slope[end] ** 2 for slope in reading.slopes.values()) + reading.error**2
    return abs(reading.residual) / float(np.sqrt(expected))


def _matrix(rows: Sequence[Slopes], sources: Sequence[Source], end: int) -> Floats:
    return np.array([[row.get(source, (0.0, 0.0))[end] for source in sources] for row in rows]).reshape(len(rows), len(sources))


def _conditioned(asked: Floats, measured: Floats, error: Floats, residual: Floats) -> tuple[Floats, Floats]:
    """Shift and standard deviation (Z,) of what is asked."""
    shared = asked @ measured.T
    gain = np.linalg.solve(measured @ measured.T + error, shared.T).T if len(residual) else shared
    variance = (asked**2).sum(axis=1) - (gain * shared).sum(axis=1)
    return np.asarray(gain @ residual), np.sqrt(np.maximum(variance, 0.0))
