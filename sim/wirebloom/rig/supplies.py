"""The supplies of a rig: batteries, regulators, and such as nothing can move. One may feed several loops."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.cells import CELLS, Cell
from wirebloom.rig.fields import Name, Number, OneOf, Quantity, Reference, Whole, capacitance_in, resistance_in, voltage_in


class Supply(Table):
    """What every supply has.

    Attributes
    ----------
    name : str
        Its name.
    split : bool
        Two equal halves about ground; all other keys then speak of one half.
    """

    name: Annotated[str, Name()]
    kind: str
    split: bool = False

    @property
    def open_voltage(self) -> float:
        """Without load, of one half if split, V."""
        raise NotImplementedError


class Ideal(Supply):
    """A supply that holds its voltage (V) under any load."""

    kind: Literal["ideal"] = "ideal"
    voltage: Annotated[float, voltage_in("0.5 V", "100 V")]

    @property
    def open_voltage(self) -> float:
        """Without load, V."""
        return self.voltage


class Sagging(Supply):
    """A supply that gives way under load.

    Attributes
    ----------
    decoupling : float or None
        Capacitor across it, of each half if split, F; None for none.
    decoupling_resistance : float
        In series with that capacitor: its own, Ω.
    """

    decoupling: Annotated[float, capacitance_in("1 nF", "10 F")] | None = None
    decoupling_resistance: Annotated[float, resistance_in("1 mohm", "100 ohm")] = 0.1

    @property
    def resistance(self) -> float:
        """In series with its voltage, Ω."""
        raise NotImplementedError


class Battery(Sagging):
    """Cells in series, or in several such rows side by side.

    Attributes
    ----------
    cells : str
        Kind of cell, see :data:`~wirebloom.rig.cells.CELLS`.
    count, parallel : int
        In series; rows side by side.
    used : float
        Share of its charge that is taken already.
    voltage : float or None
        Of the whole battery without load, measured, V; None for that of the cells at this state.
    capacity : float or None
        Of the whole battery, C; None for that of the cells. It holds at the same number of hours as theirs.
    internal_resistance : float or None
        Of the whole battery, Ω; None for that of the cells at this state.
    """

    kind: Literal["battery"] = "battery"
    cells: Annotated[str, OneOf("kind of cell", tuple(CELLS))]
    count: Annotated[int, Whole(1, 100)] = 1
    parallel: Annotated[int, Whole(1, 100)] = 1
    used: Annotated[float, Number(0, 1)] = 0.0
    voltage: Annotated[float, voltage_in("0.5 V", "100 V")] | None = None
    capacity: Annotated[float, Quantity(dimensions.CHARGE, "1 mAh", "10 kAh")] | None = None
    internal_resistance: Annotated[float, resistance_in("0.1 mohm", "10 kohm")] | None = None

    @property
    def cell(self) -> Cell:
        """What is known of one of its cells."""
        return CELLS[self.cells]

    @property
    def open_voltage(self) -> float:
        """Without load, V."""
        return self.count * self.cell.voltage(self.used) if self.voltage is None else self.voltage

    @property
    def resistance(self) -> float:
        """Internal resistance, Ω."""
        own = self.count * self.cell.resistance_at(self.used) / self.parallel
        return own if self.internal_resistance is None else self.internal_resistance

    @property
    def charge(self) -> float:
        """Capacity when full, C, at the current :attr:`rated`."""
        return self.parallel * self.cell.charge if self.capacity is None else self.capacity

    @property
    def rated(self) -> float:
        """Current at which the capacity holds, A: the same number of hours as for one cell."""
        return self.cell.rated * self.charge / self.cell.charge

    @property
    def empty_voltage(self) -> float:
        """Without load once it is empty, V."""
        return self.count * self.cell.empty

    @property
    def end_voltage(self) -> float:
        """Under load, at which it counts as empty, V."""
        return self.count * self.cell.end


class Regulator(Sagging):
    """A voltage regulator.

    Attributes
    ----------
    voltage : float
        V.
    output_resistance : float
        Ω.
    dropout : float
        What its input must be above its output, V.
    battery : str or None
        Supply that feeds it; None: something that is always enough.
    """

    kind: Literal["regulator"] = "regulator"
    voltage: Annotated[float, voltage_in("0.5 V", "100 V")]
    output_resistance: Annotated[float, resistance_in("1 mohm", "100 ohm")] = 0.05
    dropout: Annotated[float, voltage_in("0 V", "10 V")] = 2.0
    battery: Annotated[str, Reference("supply")] | None = None

    @property
    def open_voltage(self) -> float:
        """Without load, V."""
        return self.voltage

    @property
    def resistance(self) -> float:
        """Of its output, Ω."""
        return self.output_resistance


AnySupply = Annotated[Battery | Regulator | Ideal, Field(discriminator="kind")]
