"""Netlist → linear equations: the one place where circuits become matrices.

Every capacitor is taken for a voltage source of its state, every inductor and coil for a current source of its state, every
stage for a voltage source of its signal. What is left is resistive and is solved once, by modified nodal analysis: node
voltages and the sources' currents as sums over z = (x, i, v, u). From these all rows of a Network are read off.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple, TypeVar

import numpy as np

from wirebloom.circuit.parts import GROUND, METERS, Capacitor, Coil, Follower, Inductor, Netlist, Part, Resistor, Source, Stage
from wirebloom.circuit.wiring import check_wiring
from wirebloom.kernels.layout import Floats, Network

P = TypeVar("P", bound=Part)
State = Capacitor | Inductor
DUST = 1e-13  # of the largest number in a row
ENDS = ("a", "b", "out", "plus", "minus", "ref", "high", "low")  # of all kinds of parts


class Columns(NamedTuple):
    """Where everything stands in z = (x, i, v, u)."""

    states: dict[str, int]
    coils: int  # column of circuit 0
    stages: dict[str, int]
    supply: int
    drawn: dict[str, int]  # from a stage's high rail; that of its low rail follows; empty if no rail gives way
    size: int


class Solved(NamedTuple):
    """Answer of the resistive network: every node's voltage (V) and every voltage source's current (A), a to b within it, rows over z."""

    node: dict[str, int]
    branch: dict[str, int]
    answer: Floats

    def volts(self, a: str, b: str = GROUND) -> Floats:
        """V(a) − V(b), (Z,)."""
        return self._at(a) - self._at(b)

    def amperes(self, name: str) -> Floats:
        """Current through a voltage source, (Z,)."""
        return np.asarray(self.answer[self.branch[name]])

    def _at(self, node: str) -> Floats:
        return np.zeros(self.answer.shape[1]) if node == GROUND else np.asarray(self.answer[self.node[node]])


def of_kind(parts: Iterable[Part], kind: type[P]) -> list[P]:
    """All parts of a kind, in order."""
    return [part for part in parts if isinstance(part, kind)]


def states_of(parts: Iterable[Part]) -> list[State]:
    """All parts that keep something, in order."""
    return [part for part in parts if isinstance(part, Capacitor | Inductor)]


def merged(parts: Sequence[Part]) -> list[Part]:
    """The same parts with capacitors side by side made one: a voltage twice would be no state of its own."""
    found: dict[object, Part] = {}
    for number, part in enumerate(parts):
        key: object = frozenset((part.a, part.b)) if isinstance(part, Capacitor) else number
        first = found.get(key)
        if isinstance(first, Capacitor) and isinstance(part, Capacitor):
            found[key] = first._replace(farad=first.farad + part.farad)
        else:
            found[key] = part
    return list(found.values())


def is_branch(part: Part) -> bool:
    """Whether a part's voltage is given and its current an unknown; a resistor without resistance is one, of no voltage."""
    return isinstance(part, Capacitor | Source | Follower | Stage) or (isinstance(part, Resistor) and part.ohm == 0.0)


def columns_of(parts: Sequence[Part], circuits: int, drawn: bool) -> Columns:
    """The order of z: states, coil currents of all circuits, stages, supply and, where asked for, what is drawn from the rails."""
    states = {part.name: k for k, part in enumerate(states_of(parts))}
    stages = of_kind(parts, Stage)
    first = len(states) + circuits
    supply = first + len(stages)
    draws = {stage.name: supply + 1 + 2 * w for w, stage in enumerate(stages)} if drawn else {}
    return Columns(
        states=states,
        coils=len(states),
        stages={stage.name: first + w for w, stage in enumerate(stages)},
        supply=supply,
        drawn=draws,
        size=supply + 1 + 2 * len(draws),
    )


def nodes_of(parts: Sequence[Part]) -> list[str]:
    """All nodes but ground, in order of appearance."""
    named: dict[str, None] = {}
    for part in parts:
        named.update(dict.fromkeys(getattr(part, end) for end in ENDS if hasattr(part, end)))
    named.pop(GROUND, None)
    return list(named)


class _Table:
    """Modified nodal equations in the making: matrix · (node voltages, branch currents) = right · z."""

    def __init__(self, parts: Sequence[Part], columns: Columns) -> None:
        self.columns = columns
        self.node = {name: k for k, name in enumerate(nodes_of(parts))}
        branches = [part for part in parts if is_branch(part)]
        self.branch = {part.name: len(self.node) + k for k, part in enumerate(branches)}
        size = len(self.node) + len(self.branch)
        self.matrix, self.right = np.zeros((size, size)), np.zeros((size, columns.size))
        for part in parts:
            self._add(part)

    def _set(self, array: Floats, node: str, column: int, value: float) -> None:
        if node != GROUND:
            array[self.node[node], column] += value

    def _row(self, row: int, node: str, value: float) -> None:
        if node != GROUND:
            self.matrix[row, self.node[node]] += value

    def _add(self, part: Part) -> None:
        if is_branch(part):
            self._hold(part)
        elif isinstance(part, Resistor):
            self._conduct(part)
        elif isinstance(part, Inductor):
            self._push(part.a, part.b, self.columns.states[part.name])
        elif isinstance(part, Coil):
            self._push(part.a, part.b, self.columns.coils + part.circuit)

    def _conduct(self, part: Resistor) -> None:
        for one, other in ((part.a, part.b), (part.b, part.a)):
            if one != GROUND:
                self._row(self.node[one], one, 1.0 / part.ohm)
                self._row(self.node[one], other, -1.0 / part.ohm)

    def _push(self, a: str, b: str, column: int) -> None:
        """A current given by z leaves node a and enters node b."""
        self._set(self.right, a, column, -1.0)
        self._set(self.right, b, column, 1.0)

    def _hold(self, part: Part) -> None:
        """A voltage given by z or by other nodes, from node a to b; a stage's output stands against its reference."""
        row = self.branch[part.name]
        if isinstance(part, Stage):
            self._carry(row, part.out, GROUND)
            self._row(row, part.ref, -1.0)
            self.right[row, self.columns.stages[part.name]] = 1.0
            if part.name in self.columns.drawn:
                self._set(self.right, part.high, self.columns.drawn[part.name], -1.0)
                self._set(self.right, part.low, self.columns.drawn[part.name] + 1, 1.0)
            return
        self._carry(row, getattr(part, "a"), getattr(part, "b"))  # noqa: B009
        if isinstance(part, Capacitor):
            self.right[row, self.columns.states[part.name]] = 1.0
        elif isinstance(part, Source):
            self.right[row, self.columns.supply] = part.volts
        elif isinstance(part, Follower):
            self._row(row, part.plus, -part.gain)
            self._row(row, part.minus, part.gain)

    def _carry(self, row: int, a: str, b: str) -> None:
        for node, sign in ((a, 1.0), (b, -1.0)):
            self._row(row, node, sign)
            self._set(self.matrix, node, row, sign)


def solve(parts: Sequence[Part], columns: Columns) -> Solved:
    """All voltages and currents of the resistive network.

    Raises
    ------
    RigError
        If a node hangs in the air, or sources and capacitors close a ring without resistance.
    """
    check_wiring(parts)
    table = _Table(parts, columns)
    return Solved(table.node, table.branch, np.asarray(np.linalg.solve(table.matrix, table.right), dtype=np.float64))


def network_of(netlist: Netlist) -> tuple[Network, tuple[Stage, ...]]:
    """Linear equations of all electronics, and the stages in the order of v.

    Parameters
    ----------
    netlist : Netlist

    Returns
    -------
    network : Network
    stages : tuple of Stage

    Raises
    ------
    RigError
        As `solve`.

    References
    ----------
    Ho, Ruehli, Brennan 1975, "The modified nodal approach to network analysis", IEEE Trans. CAS 22:504 (from memory).
    """
    parts, circuits = merged(netlist.parts), 2 * len(netlist.loops)
    columns = columns_of(parts, circuits, drawn=True)
    solved = solve(parts, columns)
    stages = of_kind(parts, Stage)
    if not _gives_way(solved, columns, parts):
        columns = columns_of(parts, circuits, drawn=False)
        solved = solved._replace(answer=solved.answer[:, : columns.size])
    return _read_off(netlist, parts, columns, solved), tuple(stages)


def _gives_way(solved: Solved, columns: Columns, parts: Sequence[Part]) -> bool:
    """Whether what is drawn from the rails moves any voltage, by a resistance at once or by a capacitor in time."""
    moved = [solved.node[name] for name in solved.node] + [solved.branch[part.name] for part in of_kind(parts, Capacitor)]
    return bool(np.any(solved.answer[moved, columns.supply + 1 :]))


def _rows(found: Iterable[Floats], columns: Columns) -> Floats:
    rows = list(found)
    return np.array(rows) if rows else np.zeros((0, columns.size))


def _unit(columns: Columns, column: int) -> Floats:
    row = np.zeros(columns.size)
    row[column] = 1.0
    return row


def _rate(part: State, solved: Solved) -> Floats:
    if isinstance(part, Capacitor):
        return solved.amperes(part.name) / part.farad
    return solved.volts(part.a, part.b) / part.henry


def _heard(stage: Stage, columns: Columns, solved: Solved) -> Floats:
    short = solved.volts(stage.high, stage.low) - stage.supply * _unit(columns, columns.supply)
    return solved.volts(stage.plus, stage.minus) + stage.rejection * short


def _read_off(netlist: Netlist, parts: Sequence[Part], columns: Columns, solved: Solved) -> Network:
    states, stages, resistors = states_of(parts), of_kind(parts, Stage), of_kind(parts, Resistor)
    warm = [part for part in resistors if part.ohm > 0.0]
    power = _power(parts, columns, solved)
    return Network(
        rate=_rows((_rate(part, solved) for part in states), columns),
        voltage=_coil_voltages(parts, 2 * len(netlist.loops), columns, solved),
        heard=_rows((_heard(stage, columns, solved) for stage in stages), columns),
        given=_rows((-solved.amperes(stage.name) for stage in stages), columns),
        high=_rows((_swept(solved.volts(stage.high, stage.ref)) for stage in stages), columns),
        low=_rows((_swept(solved.volts(stage.low, stage.ref)) for stage in stages), columns),
        heat=_rows((solved.volts(part.a, part.b) / np.sqrt(part.ohm) for part in warm), columns),
        heat_home=np.array([part.home for part in warm], dtype=np.int64),
        power=np.array([pair for pair, _ in power]).reshape(-1, 2, columns.size),
        power_loop=np.array([loop for _, loop in power], dtype=np.int64),
        meter=_meters(netlist, columns, solved),
        inertia=np.array([part.farad if isinstance(part, Capacitor) else part.henry for part in states]),
    )


def _swept(row: Floats) -> Floats:
    """A row without the dust of rounding: a firm rail must depend on nothing else, or the time loop takes it for one that gives way."""
    return np.where(np.abs(row) > DUST * np.abs(row).max(initial=0.0), row, 0.0)


def _coil_voltages(parts: Sequence[Part], circuits: int, columns: Columns, solved: Solved) -> Floats:
    rows = np.zeros((circuits, columns.size))
    for coil in of_kind(parts, Coil):
        rows[coil.circuit] = solved.volts(coil.a, coil.b)
    return rows


def _power(parts: Sequence[Part], columns: Columns, solved: Solved) -> list[tuple[tuple[Floats, Floats], int]]:
    """Pairs of voltage and current rows of all that feeds the network, and the loop that it is booked to."""
    found = []
    for part in parts:
        if isinstance(part, Stage):
            found.append(((solved.volts(part.out), -solved.amperes(part.name)), part.loop))
            if part.name in columns.drawn:
                column = columns.drawn[part.name]
                found.append(((solved.volts(part.high), -_unit(columns, column)), part.loop))
                found.append(((solved.volts(part.low), _unit(columns, column + 1)), part.loop))
        elif isinstance(part, Source | Follower):
            found.append(((solved.volts(part.a, part.b), -solved.amperes(part.name)), part.home // 2))
    return [(pair, loop) for pair, loop in found if np.any(pair[0]) and np.any(pair[1])]


def _meters(netlist: Netlist, columns: Columns, solved: Solved) -> Floats:
    rows = np.zeros((len(METERS) * len(netlist.loops), columns.size))
    for meter in netlist.meters:
        row = METERS.index(meter.kind) * len(netlist.loops) + meter.loop
        rows[row] = sum((solved.volts(a, b) for a, b in meter.pairs), start=np.zeros(columns.size))
    return rows
