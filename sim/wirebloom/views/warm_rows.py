"""What a verdict says of the heat in the drive coils and of their fuse."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from wirebloom.views.amounts import amount
from wirebloom.views.warm_words import celsius, duration, durations, temperatures

if TYPE_CHECKING:
    from wirebloom.take.warm_parts import CoilWarmth, DriveWarmth

TOLD = 1.0  # K: a smaller rise is none
LEAST_MAGNET = 353.15  # K: what plain neodymium bears
MOST = 2  # loops with rows of their own
DUTIES = ("for good", "uncertain", "limited")


def warm_rows(heat: Sequence[DriveWarmth]) -> Iterator[tuple[str, str]]:
    """Yield heat and fuse of every loop; of many, of the one that fares worst.

    Parameters
    ----------
    heat : sequence of DriveWarmth
    """
    worst = sorted(heat, key=lambda drive: (DUTIES.index(drive.duty), drive.hottest.heat_W), reverse=True)
    for drive in worst[:1] if len(heat) > MOST else heat:
        yield f"heat of {drive.hottest.head}", heat_words(drive.hottest) + _full(drive) + _others(heat, drive)
        if drive.resting:
            continue
        yield f"fuse of {drive.loop}", fuse_words(drive)


def _full(drive: DriveWarmth) -> str:
    """Return what its amplifier could do to a coil that is well now."""
    if drive.duty != "for good" or drive.full_s is None:
        return ""
    whole = amount(drive.full_A, "A", 2)
    return f"; driven over its whole swing ({whole}) it would, cooled little, be too hot after {duration(drive.full_s)}"


def _others(heat: Sequence[DriveWarmth], drive: DriveWarmth) -> str:
    """Return what stands for the coils that have no row of their own."""
    count = sum(len(one.coils) for one in (heat if len(heat) > MOST else [drive])) - 1
    if count == 0:
        return ""
    return "; the other drive coil fares no worse" if count == 1 else f"; the {count} other drive coils fare no worse"


def heat_words(coil: CoilWarmth) -> str:
    """Say how warm a coil gets at the level of the last second, and whether it can stay on."""
    coolest, hottest = coil.steady_K
    if hottest is not None and hottest - coil.room_K < TOLD:
        return "as cool as the room at this level: it can stay on for good"
    return _duty(coil, temperatures(coolest, hottest)) + _touch(coil) + _ungraded(coil)


def _duty(coil: CoilWarmth, ends: str) -> str:
    earliest, latest = coil.too_hot_s
    if coil.duty == "for good":
        return f"{ends} in the end, nearly so after {durations(*coil.settled_s)}: it can stay on for good"
    if coil.duty == "uncertain":
        return f"{ends} in the end, but {_limit(coil)}: with little cooling too hot after {duration(earliest)}"
    return f"too hot after {durations(earliest, latest)}: it would get to {ends}, and {_limit(coil)}"


def _limit(coil: CoilWarmth) -> str:
    who = f"its enamel ({coil.enamel}) bears" if coil.limit == "enamel" else "its magnets serve to"
    return f"{who} {celsius(coil.limit_K)}"


def _touch(coil: CoilWarmth) -> str:
    if coil.touch_s is None:
        return ""
    return f"; too hot for a hand after {duration(coil.touch_s)} at the earliest"


def _ungraded(coil: CoilWarmth) -> str:
    """Return what magnets of no stated grade may not bear."""
    hottest = coil.steady_K[1]
    warm = hottest is None or hottest > LEAST_MAGNET
    return f"; its magnets are of no stated grade: plain neodymium serves to {celsius(LEAST_MAGNET)} only" if coil.ungraded and warm else ""


def fuse_words(drive: DriveWarmth) -> str:
    """Say which fuse goes in line with the drive coils, and whether it saves them."""
    bears = f"the coils bear {amount(drive.bears_A, 'A', 2)} for good"
    if drive.fuse_A is None or drive.blows_A is None:
        return f"none that carries {amount(drive.current_A, 'A', 2)} saves them: {bears}"
    told = f"{amount(drive.fuse_A, 'A')} time-lag, in line with the drive coils"
    if drive.blows_A <= drive.bears_A:
        return f"{told}: {bears}, and it is sure to blow at {amount(drive.blows_A, 'A', 2)}"
    return f"{told}, but sure to blow only at {amount(drive.blows_A, 'A', 2)}: {bears}, so do not rely on it alone"
