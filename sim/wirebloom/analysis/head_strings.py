"""A string over a head: force factor and pull over the gap, and where it rests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from wirebloom.analysis.chosen import alike
from wirebloom.compile.bands import band_along
from wirebloom.compile.poles import Pole, faces
from wirebloom.physics.equilibrium import Equilibrium
from wirebloom.physics.equilibrium_map import equilibrium_map, greatest_sticking_gap
from wirebloom.physics.head_table import HeadTable
from wirebloom.physics.rest import BAND, modal_compliance
from wirebloom.physics.stand import Stand, pull_gradient, side_stiffness
from wirebloom.physics.string import StringModes
from wirebloom.rig import Rig, String
from wirebloom.take.head_study import AlongSheet, CurveSheet, HeadString, RestSheet

Floats = NDArray[np.float64]
CURVE_GAPS = np.linspace(0.05e-3, 6e-3, 120)  # from the least gap that a scenario may have
MAP_GAPS = np.geomspace(0.05e-3, 6e-3, 28)
SIDE_GAPS = (0.5, 1.0, 2.0)  # of the gap as set


@dataclass(frozen=True)
class Over:
    """A string over the head that a study is about, which is pole `own` of those over the string.

    `bench` is the rig it belongs to, `told` all the poles of it that may have something measured.
    """

    bench: Rig
    told: Sequence[Pole]
    string: String
    modes: StringModes
    poles: Sequence[Pole]
    own: int

    @property
    def pole(self) -> Pole:
        """The head's own."""
        return self.poles[self.own]

    @property
    def banded(self) -> bool:
        """Whether a band is known."""
        return bool(self.pole.table.band.shape[1])


def head_string(over: Over, along: AlongSheet | None, *, stands: bool) -> HeadString:
    """Everything a sheet says of one string."""
    place, table = over.pole.place, over.pole.table
    stand = stand_of(over)
    rest = stand.rest()
    gap, side = place.gap - float(rest.displacement[over.own, 0]), place.offset + float(rest.displacement[over.own, 1])
    factor, pull = abs(table.force_factor(gap, side)), table.pull(gap, side)
    band = over.pole.band if over.banded and pull > 0.0 else None
    strong = BAND if band is None else band.pull[1]
    return HeadString(
        name=over.string.name,
        material=over.string.material,
        diameter_m=over.string.diameter,
        stands=stands,
        position_m=place.position,
        gap_m=place.gap,
        offset_m=place.offset,
        factor_N_per_A=factor,
        factor_band_N_per_A=None if band is None else (factor * band.factor[0], factor * band.factor[1]),
        pull_band_N=None if band is None else (pull * band.pull[0], pull * band.pull[1]),
        along=along,
        curve=curve_sheet(over),
        rest=rest_sheet(stand, rest, strong, tuple(over.poles[j].head.name for j in stand.moving if j != over.own)),
        band_note=over.pole.band.note,
    )


def stand_of(over: Over) -> Stand:
    """The string at its poles, as its partials see them."""
    steps = [faces(pole.head) for pole in over.poles]
    return Stand(
        compliance=modal_compliance(np.stack([pole.weight for pole in over.poles]), over.modes.modal_stiffness),
        tables=tuple(pole.table for pole in over.poles),
        gap=np.array([pole.place.gap for pole in over.poles]),
        offset=np.array([pole.place.offset for pole in over.poles]),
        radius=np.array([radii for radii, _ in steps]),
        recess=np.array([depths for _, depths in steps]),
        pole=over.own,
        moving=tuple(j for j, pole in enumerate(over.poles) if j == over.own or alike(pole.head, over.pole.head)),
    )


def curve_sheet(over: Over) -> CurveSheet:
    """Force factor and pull over the gap, with the band that is left when the gap is as set."""
    table, offset = over.pole.table, over.pole.place.offset
    factor = np.array([abs(table.force_factor(float(gap), offset)) for gap in CURVE_GAPS])
    pull = np.array([table.pull(float(gap), offset) for gap in CURVE_GAPS])
    band = band_along(over.bench, over.told, over.pole, CURVE_GAPS) if pull.any() else None
    if band is None:
        return CurveSheet(CURVE_GAPS, factor, pull, None, None)
    low, high = band
    return CurveSheet(CURVE_GAPS, factor, pull, (factor * low[:, 0], factor * high[:, 0]), (pull * low[:, 1], pull * high[:, 1]))


def rest_sheet(stand: Stand, rest: Equilibrium, strong: float, together: tuple[str, ...]) -> RestSheet:
    """Where the string rests, as set and for other gaps.

    Parameters
    ----------
    stand : Stand
    rest : Equilibrium
        Of the stand as set.
    strong : float
        Pull at the strong end of the band over the computed one.
    together : tuple of str
        The other heads that are moved with this one.
    """
    own, table = stand.pole, stand.tables[stand.pole]
    gap, side = float(stand.gap[own] - rest.displacement[own, 0]), float(stand.offset[own] + rest.displacement[own, 1])
    found = equilibrium_map(stand, MAP_GAPS)
    looked_at = float(stand.gap[own]) if rest.kind == "latched" else gap
    side_gaps = np.array([share * looked_at for share in SIDE_GAPS])
    offsets, hand = _sides(table), 1.0 if table.offset[-1] >= -table.offset[0] else -1.0
    stiffness = stand.stiffness()
    return RestSheet(
        kind=rest.kind,
        rest_gap_m=max(gap, 0.0),
        pull_N=float(rest.force[own, 0]) + 0.0,  # no -0.0 of a head without magnets
        others_gap_m=gap + float((rest.force[own, 0] - rest.reaction[own]) / stiffness[0]),
        side_m=float(rest.displacement[own, 1]),
        softness=rest.softness,
        stiffness_N_per_m=(float(stiffness[0]), float(stiffness[1])),
        magnet_N_per_m=(-pull_gradient(table, looked_at, side), float(side_stiffness(table, looked_at, np.array([side]))[0])),
        together=together,
        gap_m=found.gap,
        kinds=found.kind,
        rest_gaps_m=found.rest_gap,
        pulls_N=found.pull,
        softnesses=found.softness,
        latches_to_m=_bounded(found.latches_to),
        sticks_to_m=_bounded(found.sticks_to),
        safe_m=_bounded(greatest_sticking_gap(stand.stronger(strong), MAP_GAPS)),
        strong_pull=strong,
        side_offset_m=offsets,
        side_gap_m=side_gaps,
        side_N_per_m=np.stack([side_stiffness(table, float(one), hand * offsets) for one in side_gaps]),
    )


def _sides(table: HeadTable) -> Floats:
    """Offsets to one side of the axis over which the table holds, on its nodes: the side on which it reaches further."""
    inside = table.offset[1:-1]
    outwards = inside if inside[-1] >= -inside[0] else -inside[::-1]
    return outwards[outwards >= -1e-9]


def _bounded(gap: float) -> float | None:
    return gap if isfinite(gap) else None
