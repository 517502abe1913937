"""The mains' stray field in the coils: how large, of which sign, and how two opposed coils in series are deaf to it.

| what                                   | against                                                                   | within |
|----------------------------------------|---------------------------------------------------------------------------|--------|
| an air coil in a uniform field         | ω B times turns times mean area (Faraday's law, any textbook)             | 1e-3   |
| a coil with a core                     | finite elements of that coil in a uniform field, instead of reciprocity   | 1 %    |
| voltage at the amplifier's input       | the same, with all harmonics                                              | 1 %    |
| one coil and magnet turned round       | no hum, twice the signal (common practice, no source)                     | 1e-3   |

A factor √2 or 2π, a harmonic without its order, a sign taken twice shows at once.
"""

import numpy as np
import pytest
from scipy.sparse.linalg import spsolve

from consistency.scenario import TEXT
from heads import prototype_blocks, solved
from wirebloom.compile import compile_rig
from wirebloom.kernels.ledger import linkages
from wirebloom.physics.axisymmetric import isotropic, stiffness, winding_load
from wirebloom.physics.head_mesh import head_basis, materials
from wirebloom.rig import loads
from wirebloom.rig.models import Mains
from wirebloom.run import simulate
from wirebloom.run.inputs import field_rise

DISC = 'shape = "disc", diameter = "8 mm", thickness = "3 mm", top = "9 mm", remanence = "0.38 T", recoil_permeability = 1.0'
ROUND = """
[[heads]]
name = "{name}"
kind = "round"
string = "one"
position = "{position} L"
gap = "1 mm"
reversed = {reversed}
coil = {{ turns = 420, wire = "0.10 mm", inner_diameter = "5.6 mm", outer_diameter = "11.2 mm", top = "0.5 mm", bottom = "8.5 mm" }}
magnets = [{{ {disc}, direction = "{direction}" }}]
flange_diameter = "11.2 mm"
flange_recess = "0.5 mm"
"""
ONE = ROUND.format(disc=DISC, name="coil", position=0.48, reversed="false", direction="up")
TWIN = ROUND.format(disc=DISC, name="twin", position=0.52, reversed="true", direction="down")
SILENT = ("loops.main.amplifier.gain=1", "loops.main.amplifier.noise=0 V/rtHz", "run.duration=0.2 s", "start={kind='noise'}")
MAINS = "room.mains={field='0.1 mT', frequency='50 Hz', harmonics=[0.1, 0.2, 0.05]}"
AREA = 420 * np.pi * (5.6e-3**2 + 5.6e-3 * 2.8e-3 + 2.8e-3**2) / 3  # m²: turns times mean area


def sensed_by(*names, overrides=(), mains=True):
    heads = "".join({"coil": ONE, "twin": TWIN}[name] for name in names)
    sense = f"loops.main.sense=[{', '.join(repr(name) for name in names)}]"
    return compile_rig(*loads(TEXT + heads, file="bench.toml", overrides=(sense, *SILENT, *((MAINS,) if mains else ()), *overrides)))


def test_rise_is_that_of_a_sum_of_sines():
    """∫ dB/dt over time gives B back, its fundamental's peak √2 times the rms, harmonics by their share."""
    mains = Mains(field=1e-6, frequency=50.0, harmonics=(0.1, 0.0, 0.3))
    h = 1e-6
    time = h * (np.arange(20000) + 0.5)  # one period
    field = np.cumsum(field_rise(mains, time)) * h
    for order, share in ((1, 1.0), (2, 0.1), (3, 0.0), (4, 0.3)):
        found = 2 * np.mean(field * np.sin(2 * np.pi * 50 * order * time))
        assert found == pytest.approx(np.sqrt(2) * 1e-6 * share, abs=1e-9)


def test_air_coil_links_turns_times_area():
    np.testing.assert_allclose(sensed_by("coil").model.coils.area, [AREA, 0.0], rtol=1e-3, atol=1e-12)


def test_core_gathers_what_finite_elements_of_a_uniform_field_say():
    """The coil's moment per ampere (reciprocity) against the flux that a field of 1 T from far away sends through the winding."""
    blocks = prototype_blocks()
    basis = head_basis(blocks)
    made = materials(blocks, basis)
    curl, load = stiffness(basis, isotropic(made.reluctivity)), winding_load(basis, made.current)
    potential = 0.5 * basis.doflocs[0]  # A_φ = B r/2 on the far wall, and everywhere without iron
    free = basis.complement_dofs(basis.get_dofs())
    potential[free] -= spsolve(curl[free][:, free].tocsc(), (curl @ potential)[free])
    linked = 2 * np.pi * load @ potential
    assert solved(*blocks)[0].dipole() == pytest.approx(linked, rel=1e-2)
    assert linked > 1.5 * AREA


def hum(compiled):
    """Rms at the amplifier's input over whole periods, V."""
    take = simulate(compiled)
    late = take.signals.sense_voltage[-round(0.1 * take.audio_rate) :, 0].astype(float)
    return np.sqrt(np.mean(late**2)), take


def test_voltage_at_the_input():
    """ω B A √(1 + Σ (n s_n)²): 0.76 mV for the fundamental alone; the books count what it does."""
    rms, take = hum(sensed_by("coil"))
    wanted = 2 * np.pi * 50 * 1e-4 * AREA * np.sqrt(1 + 0.2**2 + 0.6**2 + 0.2**2)
    assert rms == pytest.approx(wanted, rel=1e-2)
    assert abs(take.frames.residual[-1]) < 1e-3 * take.frames.string_energy.max() + 1e-3 * abs(take.frames.noise[-1, 0])


def test_opposed_twins_are_deaf_to_hum_and_hear_the_string_twice():
    twins, one, turned = sensed_by("coil", "twin"), sensed_by("coil"), sensed_by("twin")
    assert abs(twins.model.coils.area[0]) < 1e-9 * AREA
    assert turned.model.coils.area[0] == pytest.approx(-AREA, rel=1e-3)
    assert hum(twins)[0] < 1e-3 * hum(one)[0]
    assert heard(twins) == pytest.approx(2 * heard(one), rel=1e-6)
    assert heard(turned) == pytest.approx(heard(one), rel=1e-6)


def heard(compiled):
    """Change of the sense circuit's flux linkage for a string 1 µm nearer to all heads, Wb."""
    poles = compiled.model.poles.gap.size
    nearer = np.zeros((poles, 2))
    nearer[:, 0] = 1e-6
    return (linkages(compiled.model, nearer) - linkages(compiled.model, 0 * nearer))[0]


def test_turned_magnet_alone_or_winding_alone_turns_the_signal():
    """Either change turns the sense of what is heard, both leave it: only then do hum and signal part."""
    magnet, winding = (sensed_by("twin", overrides=(change,)) for change in ("heads.twin.reversed=false", "heads.twin.magnets=" + UP))
    whole = heard(sensed_by("twin"))
    assert whole > 0.0
    assert heard(magnet) == pytest.approx(-whole, rel=1e-6)
    assert heard(winding) == pytest.approx(-whole, rel=1e-6)


UP = f"[{{{DISC}, direction='up'}}]"


def test_drive_coils_hear_it_too():
    drives = compile_rig(*loads(TEXT + ONE, file="bench.toml", overrides=("loops.main.drive=['coil']", *SILENT, MAINS)))
    np.testing.assert_allclose(drives.model.coils.area, [0.0, AREA], rtol=1e-3, atol=1e-12)


def test_without_mains_there_is_none():
    assert hum(sensed_by("coil", mains=False))[0] < 1e-3 * hum(sensed_by("coil"))[0]  # the copper's own noise
