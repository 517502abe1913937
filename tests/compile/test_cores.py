"""From solid cores in words to the shorted turns of their circuits."""

import numpy as np
import pytest

from consistency.scenario import TEXT
from wirebloom.compile import compile_rig
from wirebloom.rig import loads
from wirebloom.run import simulate

HEAD = """
[[heads]]
name = "{name}"
kind = "round"
string = "one"
position = "{place} L"
gap = "1 mm"
core = {{ diameter = "5 mm", length = "10 mm", permeability = 1000 }}
coil = {{ turns = 420, wire = "0.10 mm", inner_diameter = "5.6 mm", outer_diameter = "11.2 mm", top = "0.5 mm", bottom = "8.5 mm" }}
magnets = [{{ shape = "disc", diameter = "8 mm", thickness = "3 mm", remanence = "0.38 T" }}]
flange_diameter = "11.2 mm"
flange_recess = "0.5 mm"
"""
TWO = TEXT + HEAD.format(name="left", place=0.6) + HEAD.format(name="right", place=0.7)


def bench(*overrides):
    return compile_rig(*loads(TWO, file="bench.toml", overrides=overrides))


def test_idle_heads_and_measured_ones_have_no_core():
    model = bench().model
    assert model.cores.circuit.size == 0
    np.testing.assert_array_equal(model.cores.under, [-1] * 4)


def test_every_head_in_series_keeps_its_own():
    model = bench("loops.main.drive=['right', 'left']").model
    np.testing.assert_array_equal(model.cores.circuit, [1, 1])
    names = [pole.head.name for pole in bench().poles]
    assert [int(model.cores.under[names.index(name)]) for name in ("sense", "drive")] == [-1, -1]
    assert sorted(int(model.cores.under[names.index(name)]) for name in ("left", "right")) == [0, 1]
    np.testing.assert_allclose(model.cores.inductance[0], model.cores.inductance[1], rtol=1e-9)
    assert 0.0 < model.cores.inductance.sum() < model.coils.inductance[1, 1]


@pytest.mark.parametrize(("word", "cores"), [("true", 1), ("false", 0)])
def test_solid_or_not(word, cores):
    assert bench("loops.main.sense=['left']", f"heads.left.core.solid={word}").model.cores.circuit.size == cores


def test_a_reversed_head_links_its_core_backwards():
    """λ_k = κ_k Λ in the circuit's sense; a run starts without eddy currents."""
    plain, turned = (bench("loops.main.sense=['left']", *more).state for more in ((), ("heads.left.reversed=true",)))
    np.testing.assert_allclose(turned.eddy, -plain.eddy, rtol=1e-9)
    assert np.all(plain.eddy != 0.0)


def test_a_note_from_solid_heads_has_sound_books():
    take = simulate(bench("loops.main.sense=['left']", "loops.main.drive=['right']", "run.duration=0.3 s"))
    frames = take.frames
    assert np.abs(frames.residual).max() < 1e-3 * max(frames.string_energy.max(), float(frames.supplied[-1, 0]))
