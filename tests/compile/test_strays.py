"""Stated stray capacitances: between the live ends of the coils that they name, and nowhere else."""

import pytest

from consistency.scenario import compiled
from wirebloom.circuit.parts import Capacitor, Resistor
from wirebloom.compile import compile_rig
from wirebloom.compile.strays import terminals
from wirebloom.rig import load

NEAR = "couplings=[{heads=['drive', 'sense'], capacitance='2 pF'}]"


def strays(bench):
    return [part for part in bench.netlist.parts if isinstance(part, Capacitor) and part.name.startswith("stray")]


def test_from_the_drive_coils_live_end_to_the_sense_coils():
    """Behind level resistor and capacitors, where the drive coil's lead begins; ahead of either winding's resistance."""
    bench = compile_rig(*load("first_note", [NEAR]))
    (stray,) = strays(bench)
    windings = {part.name: part for part in bench.netlist.parts if isinstance(part, Resistor) and part.name.endswith("winding")}
    assert {stray.a, stray.b} == {windings["main sense winding"].a, windings["main drive winding"].a}
    assert stray.farad == pytest.approx(2e-12)


def test_magnetic_crosstalk_stays_as_computed():
    plain, near = compile_rig(*load("first_note")), compile_rig(*load("first_note", [NEAR]))
    assert near.sheet.loops[0].mutual_H == plain.sheet.loops[0].mutual_H != 0.0
    assert strays(plain) == []


def test_every_circuit_has_one_live_end():
    bench = compile_rig(*load("two_strings_two_loops"))
    assert sorted(terminals(bench.netlist.parts)) == [0, 1, 2, 3]
    assert len(set(terminals(bench.netlist.parts).values())) == 4


def test_the_energy_of_the_stray_field_is_in_the_ledger():
    """½CV² of one more capacitor: the network's last state."""
    assert compiled(NEAR).model.network.inertia[-1] == pytest.approx(2e-12)
