"""What can stand against a netlist: a name twice, a node in the air, a ring without resistance."""

from __future__ import annotations

from collections.abc import Sequence

from wirebloom.circuit.parts import GROUND, Capacitor, Coil, Follower, Inductor, Part, Resistor, Source, Stage
from wirebloom.errors import RigError


class _Groups:
    """Nodes that hang together (union and find)."""

    def __init__(self) -> None:
        self._above: dict[str, str] = {}

    def of(self, node: str) -> str:
        """The node that stands for all that hang together with this one."""
        above = self._above.get(node, node)
        return node if above == node else self.of(above)

    def join(self, a: str, b: str) -> bool:
        """Hang two nodes together; whether they did not already."""
        one, other = self.of(a), self.of(b)
        self._above[one] = other
        return one != other


def check_wiring(parts: Sequence[Part]) -> None:
    """Refuse what has no answer.

    Raises
    ------
    RigError
        Naming the part or the node.
    """
    _check_names(parts)
    _check_values(parts)
    _check_rings(parts)
    _check_floating(parts)


def _check_names(parts: Sequence[Part]) -> None:
    seen: set[str] = set()
    for part in parts:
        if part.name in seen:
            raise RigError(f"The names of all parts of the circuit must differ; instead received {part.name} twice.")
        seen.add(part.name)


def _check_values(parts: Sequence[Part]) -> None:
    for part in parts:
        if isinstance(part, Resistor) and not 0.0 <= part.ohm < float("inf"):
            raise RigError(f"{part.name} must be a resistance of 0 or more; instead received {part.ohm:g} ohm.")
        value = part.farad if isinstance(part, Capacitor) else part.henry if isinstance(part, Inductor) else 1.0
        if not 0.0 < value < float("inf"):
            raise RigError(f"{part.name} must be more than 0; instead received {value:g}.")


def held(part: Part) -> tuple[str, str] | None:
    """Nodes between which a part holds a voltage that its current does not change."""
    if isinstance(part, Stage):
        return part.out, GROUND
    if isinstance(part, Capacitor | Source | Follower) or (isinstance(part, Resistor) and part.ohm == 0.0):
        return part.a, part.b
    return None


def _check_rings(parts: Sequence[Part]) -> None:
    groups = _Groups()
    for part in parts:
        ends = held(part)
        if ends is not None and not groups.join(*ends):
            raise RigError(
                f"{part.name} must have some resistance in line with it; instead received a ring of nothing but capacitors and sources "
                f"from {ends[0]} to {ends[1]}."
            )


def _check_floating(parts: Sequence[Part]) -> None:
    groups, users = _Groups(), dict[str, str]()
    for part in parts:
        ends = (part.a, part.b) if isinstance(part, Resistor) else held(part)
        if ends is not None:
            groups.join(*ends)
        for node in _touched(part):
            users.setdefault(node, part.name)
    for node, user in users.items():
        if groups.of(node) != groups.of(GROUND):
            what = f"a way for current from its node {node} to ground"
            raise RigError(f"{user} must have {what}; instead received a node that hangs in the air.")


def _touched(part: Part) -> tuple[str, ...]:
    if isinstance(part, Stage):
        return part.plus, part.minus, part.ref, part.high, part.low, part.out
    if isinstance(part, Follower):
        return part.a, part.b, part.plus, part.minus
    if isinstance(part, Resistor | Capacitor | Inductor | Coil | Source):
        return part.a, part.b
    return ()
