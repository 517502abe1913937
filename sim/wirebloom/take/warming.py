"""How warm the drive coils get if a take's last second goes on for good, and the fuse that fits their circuit.

Every figure is a range. Coolest end: good cooling, and a drive of steady voltage whose current falls as the copper warms. Hottest
end: little cooling, and an amplifier that keeps the current up. Earliest: the copper alone holds heat; latest: the whole head.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, isfinite, sqrt

from wirebloom.physics.heat import TOUCH, current_for
from wirebloom.physics.warming import Feed, Lump, rise_after, seconds_to, steady_rise
from wirebloom.rig.fuses import BLOWS, fuse_for
from wirebloom.rig.wires import resistance_at
from wirebloom.take.electrics import LoopMeasures
from wirebloom.take.sheet import CoilSheet, LoopSheet
from wirebloom.take.take import Take
from wirebloom.take.warm_parts import FAINT, CoilWarmth, DriveWarmth

SETTLED = 0.95  # of the whole rise
MARKS = (60.0, 600.0)  # s
MOST = 2000.0  # K above the room: a coil that runs away has long burnt


def warmth(take: Take, loops: Sequence[LoopMeasures]) -> tuple[DriveWarmth, ...]:
    """Warmth of all drive coils whose winding is known, by loop.

    Parameters
    ----------
    take : Take
    loops : sequence of LoopMeasures
        Of the same take.

    Returns
    -------
    tuple of DriveWarmth
        Without loops that have no such coil.
    """
    sheets = {sheet.name: sheet for sheet in take.sheet.loops}
    own = {loop.name: [coil for coil in take.sheet.coils if coil.loop == loop.name] for loop in loops}
    return tuple(drive_warmth(sheets[loop.name], loop, own[loop.name]) for loop in loops if own[loop.name])


def drive_warmth(sheet: LoopSheet, loop: LoopMeasures, coils: Sequence[CoilSheet]) -> DriveWarmth:
    """Warmth of the drive coils of one loop."""
    warm = tuple(coil_warmth(coil, loop.drive_rms_A, falling(sheet, loop, coil)) for coil in coils)
    bears = min(coil.bears_A for coil in warm)
    fuse = fuse_for(loop.drive_rms_A)
    fits = fuse if fuse is not None and fuse <= bears and loop.drive_rms_A >= FAINT else None
    full = max(sheet.swing_high_V, -sheet.swing_low_V) / sheet.drive_resistance_ohm
    soonest = min(seconds_to(_lump(coil, 0, 0), Feed(full), _limit(coil)[1]) for coil in coils)
    return DriveWarmth(loop.name, warm, loop.drive_rms_A, bears, fits, None if fits is None else BLOWS * fits, full, _finite(soonest))


def falling(sheet: LoopSheet, loop: LoopMeasures, coil: CoilSheet) -> Feed:
    """What feeds a coil if the amplifier's voltage stays: the other resistances, and the reactance that voltage and current tell."""
    own = resistance_at(coil.resistance_ohm, coil.room_K)
    ballast = max(sheet.drive_resistance_ohm - own, 0.0)
    whole = loop.drive_rms_V / loop.drive_rms_A if loop.drive_rms_A > 0.0 else 0.0
    return Feed(loop.drive_rms_A, ballast, sqrt(max(whole**2 - (ballast + own) ** 2, 0.0)))


def coil_warmth(coil: CoilSheet, current: float, weak: Feed) -> CoilWarmth:
    """Warmth of one coil at an rms current (A); `weak` is its feed at the coolest end."""
    cool, hot, slow = _lump(coil, 1, 1), _lump(coil, 0, 0), _lump(coil, 0, 1)
    held = Feed(current)
    ends = steady_rise(cool, weak), steady_rise(hot, held)
    limit, limit_K = _limit(coil)
    earliest = _finite(seconds_to(hot, held, limit_K))
    return CoilWarmth(
        head=coil.head,
        heat_W=current**2 * resistance_at(coil.resistance_ohm, coil.room_K),
        room_K=coil.room_K,
        steady_K=(coil.room_K + ends[0], _finite(coil.room_K + ends[1])),
        marks_K=tuple((coil.room_K + rise_after(cool, weak, at), coil.room_K + min(rise_after(hot, held, at), MOST)) for at in MARKS),
        settled_s=(_settled(_lump(coil, 1, 0), weak), _finite(_settled(slow, held))),
        hot_ohm=(_warm(coil, ends[0]), _finite(_warm(coil, ends[1]))),
        limit=limit,
        limit_K=limit_K,
        enamel=coil.enamel,
        ungraded=coil.magnet_K < 0.0,
        too_hot_s=(earliest, _finite(seconds_to(cool, weak, limit_K))),
        touch_s=_finite(seconds_to(hot, held, TOUCH)),
        bears_A=current_for(limit_K, coil.resistance_ohm, coil.conductance_low_W_per_K, coil.room_K),
    )


def _lump(coil: CoilSheet, cooling: int, holding: int) -> Lump:
    """The coil with little (0) or good (1) cooling, holding heat in the copper (0) or the whole head (1)."""
    conductance = (coil.conductance_low_W_per_K, coil.conductance_high_W_per_K)[cooling]
    return Lump(coil.resistance_ohm, (coil.capacity_low_J_per_K, coil.capacity_high_J_per_K)[holding], conductance, coil.room_K)


def _limit(coil: CoilSheet) -> tuple[str, float]:
    if 0.0 < coil.magnet_K < coil.enamel_K:
        return "magnets", coil.magnet_K
    return "enamel", coil.enamel_K


def _settled(lump: Lump, feed: Feed) -> float:
    """Seconds until most of the rise; 0 without any."""
    rise = steady_rise(lump, feed)
    return 0.0 if rise == 0.0 else seconds_to(lump, feed, lump.room + SETTLED * rise) if isfinite(rise) else inf


def _warm(coil: CoilSheet, rise: float) -> float:
    return resistance_at(coil.resistance_ohm, coil.room_K + rise)


def _finite(value: float) -> float | None:
    return value if isfinite(value) else None
