"""Strings in a circuit simulator's elements: partials as resonances, the magnets' pull as an inductor between them.

Under a head of growing pull κ a string's speed u̇ stands over an inductor 1/κ, whose current is then κ u: the force that the partials get
back with their weights. A milliohm beside it keeps the ring from being a short; it does nothing within a run.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from wirebloom.circuit.deck_stage import number, total
from wirebloom.circuit.equivalents import Partial, Pull, Windings
from wirebloom.circuit.marks import written

LET_GO = "letgo"  # node: 1 V while the strings are held aside, 0 once they are let go
T60 = 6.907755278982137  # 3 ln 10
RING = 1e-3  # Ω


def string_lines(windings: Windings, coils: dict[int, str]) -> Iterator[str]:
    """All partials, and what the magnets do to them; coils: mark of every circuit's coil."""
    partials = windings.partials
    if partials:
        yield from ("*", "* --- strings: a voltage is a speed (1 V: 1 m/s), a current a force (1 A: 1 N)")
    if any(partial.place for partial in partials):
        yield f"V{LET_GO} {LET_GO} 0 DC 0 PWL(0 1 10u 0)"
    pulls = [(f"M{k}", pull) for k, pull in enumerate(windings.pulls, start=1) if pull.growth != 0.0]
    for p, partial in enumerate(partials):
        yield from _partial_lines(partial, _pushes(partial, coils) + [(f"V{mark}", _signed(pull, p)) for mark, pull in pulls])
        held = partial.mass * partial.frequency**2 * partial.place - sum(_force(pull, partials) * pull.weight[p] for _, pull in pulls)
        if any(one.place for one in partials):
            yield f"B{partial.mark}h 0 {partial.mark} I={number(held)}*V({LET_GO})"
    for mark, pull in pulls:
        yield from _pull_lines(mark, pull, partials)


def _pushes(partial: Partial, coils: dict[int, str]) -> list[tuple[str, float]]:
    """Ammeters of the currents that push at a partial, and the force of each per ampere."""
    turns = [(f"VT{k}", factor) for k, factor in enumerate(partial.turn, start=1)]
    return [*((f"V{coils[c]}", factor) for c, factor in enumerate(partial.coil) if c in coils), *turns]


def _partial_lines(partial: Partial, pushes: list[tuple[str, float]]) -> Iterator[str]:
    mark, stiffness = partial.mark, partial.mass * partial.frequency**2
    yield (
        f"* {mark}: {partial.name}, {partial.frequency / (2 * pi):.2f} Hz, "
        f"{written(1e3 * partial.mass, 'g')}, falls by 60 dB in {written(T60 / partial.decay, 's')}"
    )
    yield f"C{mark} {mark} 0 {number(partial.mass)} IC=0"
    yield f"R{mark} {mark} 0 {number(1.0 / (2.0 * partial.mass * partial.decay))}"
    yield f"L{mark} {mark} 0 {number(1.0 / stiffness)} IC=0"
    for k, (meter, factor) in enumerate((push for push in pushes if push[1] != 0.0), start=1):
        yield f"F{mark}x{k} 0 {mark} {meter} {number(factor)}"


def _signed(pull: Pull, p: int) -> float:
    """Weight of a partial, negative under a head whose pull falls as the string comes nearer: its inductor has the size alone."""
    return pull.weight[p] if pull.growth > 0.0 else -pull.weight[p]


def _force(pull: Pull, partials: tuple[Partial, ...]) -> float:
    """What the pull grows by as the strings are held aside, N."""
    return pull.growth * sum(weight * partial.place for weight, partial in zip(pull.weight, partials, strict=True))


def _pull_lines(mark: str, pull: Pull, partials: tuple[Partial, ...]) -> Iterator[str]:
    own, held = mark.lower(), RING * abs(pull.growth) / pull.growth * _force(pull, partials)
    speeds = [(weight, f"V({partial.mark})") for weight, partial in zip(pull.weight, partials, strict=True)]
    yield f"* {mark}: the pull of {pull.name}, {pull.growth:.4g} N/m more as it comes nearer"
    yield f"B{mark} {own}a 0 V={total(*speeds, (held, f'V({LET_GO})'))}"
    yield f"V{mark} {own}a {own}b 0"
    yield f"L{mark} {own}b {own}c {number(1.0 / abs(pull.growth))} IC=0"
    yield f"R{mark} {own}c 0 {number(RING)}"
