"""The bill of materials of a compiled rig."""

from __future__ import annotations

from wirebloom.circuit.bill import Item, electronics
from wirebloom.circuit.bill_bench import bench
from wirebloom.circuit.stress import stress_of
from wirebloom.compile.model import Compiled

SWINGS = (
    "Powers and voltages are for outputs that swing from rail to rail without a break, with twice the power and half as much again in "
    "voltage for spare; the next usual rating stands here (common practice)."
)


def bill_of(compiled: Compiled) -> tuple[Item, ...]:
    """All that is bought, wound or cut for a rig.

    Parameters
    ----------
    compiled : Compiled

    Returns
    -------
    tuple of Item
        Electronics, with the marks that the deck gives them; then supplies, heads, strings.
    """
    model = compiled.model
    stress = stress_of(compiled.netlist, model.network, model.stages, model.coils.inductance)
    return (*electronics(compiled.netlist, stress), *bench(compiled.rig))


def bill_notes(compiled: Compiled) -> tuple[str, ...]:
    """What the bill's figures are for, and what can hurt."""
    return (*([SWINGS] if compiled.rig.loops else []), *compiled.sheet.cautions)
