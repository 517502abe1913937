"""Supplies for takes that nobody ran."""

from dataclasses import replace

import numpy as np

from wirebloom.take.sheet import SupplySheet

# A 9 V block of 1.7 Ω that is full; its figures in round numbers.
BLOCK = SupplySheet(
    name="bench", kind="battery", made_of="1 × alkaline 9 V block", loops=("loop 1",), halves=1.0, open_V=9.5, resistance_ohm=1.7,
    battery_V=9.5, battery_ohm=1.7, empty_V=6.6, needed_V=5.0, charge_C=1800.0, rated_A=0.015, peukert=1.2,
)  # fmt: skip


def supplied(take, *supplies):
    """The same take of a rig with these supplies."""
    return replace(take, sheet=replace(take.sheet, supplies=supplies or (BLOCK,)))


def drawing(take, *, drawn, open_V, least):
    """The same take with so many amperes from all high and low rails throughout, and a supply that falls to its least at the very end."""
    time, shape = take.frames.time, take.signals.drive_voltage.shape
    charge = [np.outer(time, np.full(shape[1], each)) for each in drawn]
    volts = np.full(shape, open_V, dtype=np.float32)
    volts[-1:] = least
    frames = replace(take.frames, drawn_high=charge[0], drawn_low=charge[1])
    return replace(take, frames=frames, signals=replace(take.signals, supply_voltage=volts))
