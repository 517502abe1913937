"""An amplifying stage in a circuit simulator's elements.

The signal voltage v is that of a capacitor of 1 µF, so that a current of 1 A is a rise of 1 V/µs. What it wants to rise,
2π·bandwidth (e − v/gain), is cut by the slew limit, then by the room left to either rail over 0.1 µs: v creeps up to the rail and
waits there, without wind-up. Beyond its limit of current the output gives way by 10 kΩ.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite, pi

from wirebloom.circuit.marks import Nodes, written
from wirebloom.circuit.parts import GROUND, Stage

ROOM = 10.0  # V/µs per V: 1/0.1 µs
YIELD = 10e3  # Ω beyond the limit of current
UP = "up"  # node: share of the supply that is up


def number(value: float) -> str:
    """A number as it stands in a deck."""
    return f"{value:.10g}"


def total(*terms: tuple[float, str]) -> str:
    """A sum of factors times expressions, without those that are 0.

    Examples
    --------
    >>> total((1.0, "V(a)"), (-2.5, "V(b)"), (0.0, "V(c)"), (0.1, ""))
    'V(a) - 2.5*V(b) + 0.1'
    """
    text = ""
    for factor, what in terms:
        if factor != 0.0:
            size = number(abs(factor)) if not what else what if abs(factor) == 1.0 else f"{number(abs(factor))}*{what}"
            sign = "-" if factor < 0.0 else "+"
            text += f" {sign} {size}" if text else size if factor > 0.0 else f"-{size}"
    return text or "0"


def stage_lines(stage: Stage, mark: str, node: Nodes) -> Iterator[str]:
    """Elements of one stage, called by its mark."""
    own = mark.lower()
    yield f"* {mark}: {stage.name}, gain {stage.gain:g}, gain times bandwidth {written(stage.bandwidth, 'Hz')}, {_limits(stage)}"
    yield f"B{mark}e {own}e 0 V={total(*_heard(stage, node, own))}"
    yield f"B{mark}w {own}w 0 V={total(*_wanted(stage, own))}"
    yield f"B{mark}s {own}s 0 V={_slewed(stage, own)}"
    yield from _headroom(stage, node, mark)
    yield f"B{mark}t {own}t 0 V={number(ROOM)}*({total(*_room(stage, node, mark, 0))})"
    yield f"B{mark}b {own}b 0 V={number(ROOM)}*({total(*_room(stage, node, mark, 1))})"
    yield f"B{mark}m {own}m 0 V=V({own}s) - uramp(V({own}s) - V({own}t))"
    yield f"B{mark}r 0 {own}v I=V({own}m) + uramp(V({own}b) - V({own}m))"
    yield f"C{mark} {own}v 0 1u IC=0"
    yield f"B{mark}o {own}o 0 V={total(*_output(stage, node, mark))}"
    yield f"V{mark} {own}o {node(stage.out)} 0"
    yield from _draws(stage, mark, node)


def _limits(stage: Stage) -> str:
    slew = f"slew {stage.slew / 1e6:.4g} V/us" if isfinite(stage.slew) else "no slew limit"
    return f"{slew}, current {written(stage.limit, 'A')} at most" if isfinite(stage.limit) else slew


def volts(node: Nodes, name: str) -> str:
    """Voltage of a node in an expression."""
    return f"V({node(name)})"


def _over(node: Nodes, a: str, b: str) -> list[tuple[float, str]]:
    """V(a) − V(b) as terms; ground gives none."""
    return [(sign, volts(node, name)) for sign, name in ((1.0, a), (-1.0, b)) if name != GROUND]


def _heard(stage: Stage, node: Nodes, own: str) -> list[tuple[float, str]]:
    short = [(stage.rejection * sign, what) for sign, what in _over(node, stage.high, stage.low)] if stage.rejection else []
    fall = [*short, (-stage.rejection * stage.supply, f"V({UP})")]
    heard = [*_over(node, stage.plus, stage.minus), (stage.offset, ""), *fall]
    if stage.levelling is None:
        return heard
    return [(1.0, f"({total(*heard)})*V({own}g)")]


def _wanted(stage: Stage, own: str) -> list[tuple[float, str]]:
    """Rise of the output without limits, V/µs."""
    rate = 2e-6 * pi * stage.bandwidth
    return [(rate, f"V({own}e)"), (-rate / stage.gain, f"V({own}v)")]


def _slewed(stage: Stage, own: str) -> str:
    if not isfinite(stage.slew):
        return f"V({own}w)"
    most = number(stage.slew / 1e6)
    return f"uramp(V({own}w) + {most}) - uramp(V({own}w) - {most}) - {most}"


def _room(stage: Stage, node: Nodes, mark: str, side: int) -> list[tuple[float, str]]:
    """What is left to the upper rail (0), or to the lower one (1, negative), V."""
    sign, rail = ((-1.0, stage.high), (1.0, stage.low))[side]
    bend = (sign * stage.bend, f"uramp({'-' if side else ''}I(V{mark}))")
    return [*_over(node, rail, stage.ref), (sign * stage.headroom[side], f"V({mark.lower()}q)"), bend, (-1.0, f"V({mark.lower()}v)")]


def _headroom(stage: Stage, node: Nodes, mark: str) -> Iterator[str]:
    """Share of the headrooms that there is supply for: 1 but for a moment at switch-on."""
    if sum(stage.headroom) > 0.0:
        share = total(*((sign / sum(stage.headroom), what) for sign, what in _over(node, stage.high, stage.low)))
        yield f"B{mark}q {mark.lower()}q 0 V={share} - uramp({share} - 1)"


def _output(stage: Stage, node: Nodes, mark: str) -> list[tuple[float, str]]:
    voltage = [*_over(node, stage.ref, GROUND), (1.0, f"V({mark.lower()}v)")]
    if not isfinite(stage.limit):
        return voltage
    most = number(stage.limit)
    return [*voltage, (-YIELD, f"uramp(I(V{mark}) - {most})"), (YIELD, f"uramp(-I(V{mark}) - {most})")]


def _draws(stage: Stage, mark: str, node: Nodes) -> Iterator[str]:
    """What the stage takes from its rails: its output's current from one of them, and what it needs itself."""
    own = (stage.quiescent, f"V({UP})")
    if stage.high != GROUND:
        yield f"B{mark}h {node(stage.high)} 0 I={total((1.0, f'uramp(I(V{mark}))'), own)}"
    if stage.low != GROUND:
        yield f"B{mark}l 0 {node(stage.low)} I={total((1.0, f'uramp(-I(V{mark}))'), own)}"
