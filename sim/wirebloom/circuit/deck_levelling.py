"""Automatic gain in a circuit simulator's elements: an envelope follower of 1 µF, and the share of the gain that it leaves."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from wirebloom.circuit.parts import Stage


def levelling_lines(stage: Stage, mark: str) -> Iterator[str]:
    """Envelope and share of the gain of a stage, if it is levelled.

    The envelope x of |v| rises with the attack time and falls with the release time; the share is target/x where x is above
    the target, never less than `least`.
    """
    levelling, own = stage.levelling, mark.lower()
    if levelling is None or not isfinite(levelling.volts):
        return
    rise, fall = 1e-6 / levelling.attack, 1e-6 / levelling.release
    error, above = f"abs(V({own}v)) - V({own}x)", f"uramp(V({own}x) - {levelling.volts:.10g})"
    share = f"{levelling.volts:.10g}/({levelling.volts:.10g} + {above})"
    yield f"* {mark}: automatic gain, from a mean size of {levelling.volts:g} V on"
    yield f"B{mark}x 0 {own}x I={rise:.10g}*uramp({error}) - {fall:.10g}*uramp(V({own}x) - abs(V({own}v)))"
    yield f"C{mark}x {own}x 0 1u IC=0"
    yield f"B{mark}g {own}g 0 V={levelling.least:.10g} + uramp({share} - {levelling.least:.10g})"
