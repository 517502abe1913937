"""A supply as parts: a source, the resistance behind which it gives way, a capacitor across its rails.

Nodes of a supply called "bench": "bench.high", and "bench.low" if it is split; the low rail of a single supply is ground.
A battery keeps its voltage without load for the length of a run: what a run takes from it is not to be seen in it. A regulator
holds its voltage behind its output resistance, or passes on what its battery has above the drop-out: which of them is decided without load.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from wirebloom.circuit.parts import GROUND, Capacitor, Part, Resistor, Source
from wirebloom.rig.supplies import AnySupply, Battery, Ideal, Regulator


class Rails(NamedTuple):
    """Between which nodes a loop's stages work.

    Attributes
    ----------
    high, low : str
    volts : float
        V(high) − V(low) without load.
    """

    high: str
    low: str
    volts: float


class Feed(NamedTuple):
    """One half of a supply, or all of a single one: voltage without load (V) and resistance behind it (Ω)."""

    volts: float
    ohm: float


def feed(supply: AnySupply, supplies: Sequence[AnySupply] = ()) -> Feed:
    """Voltage and resistance of one half of a supply, or of all of a single one.

    Parameters
    ----------
    supply : Battery, Regulator or Ideal
    supplies : sequence of these
        All there are: a regulator's battery is among them.

    Returns
    -------
    Feed
        A regulator whose battery does not reach its voltage and the drop-out stands for that battery, less the drop-out.

    Examples
    --------
    >>> feed(Battery(name="bench", cells="alkaline AA", count=4))
    Feed(volts=6.4, ohm=0.6)
    """
    if isinstance(supply, Ideal):
        return Feed(supply.voltage, 0.0)
    own = Feed(supply.open_voltage, supply.resistance)
    behind = battery_of(supply, supplies)
    if behind is None or behind.open_voltage - dropout_of(supply) >= own.volts:
        return own
    return Feed(behind.open_voltage - dropout_of(supply), own.ohm + behind.resistance)


def battery_of(supply: AnySupply, supplies: Sequence[AnySupply]) -> Battery | None:
    """Battery that feeds a regulator, if it is a regulator and one is named."""
    named = supply.battery if isinstance(supply, Regulator) else None
    return next((one for one in supplies if one.name == named and isinstance(one, Battery)), None)


def dropout_of(supply: AnySupply) -> float:
    """What a supply loses on the way from its battery, V."""
    return supply.dropout if isinstance(supply, Regulator) else 0.0


def rails(supply: AnySupply, supplies: Sequence[AnySupply] = ()) -> Rails:
    """Nodes that a loop's stages work between, and the voltage between them without load."""
    volts = feed(supply, supplies).volts
    if supply.split:
        return Rails(f"{supply.name}.high", f"{supply.name}.low", 2.0 * volts)
    return Rails(f"{supply.name}.high", GROUND, volts)


def supply_parts(supply: AnySupply, supplies: Sequence[AnySupply] = (), home: int = 1) -> tuple[Part, ...]:
    """Parts of a supply, from its source to its rails.

    Parameters
    ----------
    supply : Battery, Regulator or Ideal
    supplies : sequence of these
        All there are.
    home : int
        Circuit to which its heat is booked: the drive side of the first loop that it feeds.

    Returns
    -------
    tuple of Part
    """
    own = feed(supply, supplies)
    if not supply.split:
        return tuple(_half(supply, own, "", home))
    return (*_half(supply, own, "upper ", home), *_half(supply, own, "lower ", home))


def _half(supply: AnySupply, own: Feed, which: str, home: int) -> Iterator[Part]:
    """Source, resistance and capacitor of one half; the lower one hangs from ground with its positive end."""
    rail = f"{supply.name}.{'low' if which == 'lower ' else 'high'}"
    behind = f"{rail}.open" if own.ohm > 0.0 else rail
    ends = (GROUND, behind) if which == "lower " else (behind, GROUND)
    yield Source(f"{supply.name} {which}{supply.kind} supply", *ends, own.volts, home)
    if own.ohm > 0.0:
        yield Resistor(f"{supply.name} {which}internal resistance", behind, rail, own.ohm, home)
    if not isinstance(supply, Ideal) and supply.decoupling is not None:
        inside = f"{rail}.decoupling"
        yield Resistor(f"{supply.name} {which}decoupling capacitor's own resistance", rail, inside, supply.decoupling_resistance, home)
        yield Capacitor(f"{supply.name} {which}decoupling capacitor", inside, GROUND, supply.decoupling, home)
