"""The twins against references outside the project, before anything is compared with them.

Each check names the slip it would catch: a sign of a force or of an EMF breaks the energy balance or the co-energy rule,
a factor 2 in the tension or in the contact energy breaks the balance, a shifted knot breaks the spline.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import NdBSpline

from twins import compiled, rigs
from twins.equations import energy, linkage, magnetic_forces, pack, pole_places, powers, reference, rhs
from twins.splines import surface

RIG = rigs.Rig(
    wires=(rigs.Wire(partials=6), rigs.Wire(pitch=147.0, partials=5)),
    heads=(rigs.exponential_head(), rigs.exponential_head(factor=0.007, twist=0.05)),
    poles=(
        rigs.Pole(head=0, string=0, position=0.2, circuit=0),
        rigs.Pole(head=1, string=0, position=0.25, circuit=1, gap=0.8e-3, offset=0.5e-3, sign=-1),
        rigs.Pole(head=1, string=1, position=0.3, circuit=1, gap=1.1e-3),
        rigs.Pole(head=0, string=1, position=0.1, circuit=-1, gap=1.2e-3),
    ),
    loops=(
        rigs.Loop(
            mutual=2e-5,
            node_capacitance=2e-9,
            elastance=1e5,
            allpass_rate=1e3,
            direct=-1.0,
            lagged=2.0,
            bias=2.0,
            sense_area=0.03,
            drive_area=-0.02,
        ),
    ),
    cores=(rigs.Core(1, (1, 2)), rigs.Core(0, (0,), share=(-0.02, 0.4))),
    contacts=(rigs.Contact(pole=1, loss=0.3),),
    dampers=(rigs.Damper(string=1),),
    drivers=(rigs.Driver(string=1, polarisation=1),),
)


def random_state(model, seed=3):
    """Everything in motion, of working size, with one point pressed into its face."""
    rng = np.random.default_rng(seed)
    state = rigs.resting_state(model)
    alive = model.strings.frequency > 0
    state.q[:] = 1e-4 * rng.standard_normal(state.q.shape) * alive
    state.v[:] = 0.1 * rng.standard_normal(state.v.shape) * alive
    state.q[0, 0, 0] += 1.2e-3
    rigs.without_current(model, state)
    state.flux[:] += 1e-4 * rng.standard_normal(state.flux.shape)
    state.eddy[:] += 1e-5 * np.random.default_rng(seed + 1).standard_normal(state.eddy.shape)
    for name in ("node", "allpass", "output", "capacitor"):
        getattr(state, name)[:] = rng.standard_normal(getattr(state, name).shape)
    return state


def test_spline_agrees_with_scipy():
    """SciPy's tensor-product B-spline on the same knots: value and both slopes, inside and on a cell's edge."""
    model = rigs.build(RIG, 96000)
    table, (gap, offset) = model.tables.coefficient[1], (RIG.gap_nodes, RIG.offset_nodes)
    extended = [
        np.concatenate([x[0] + (x[1] - x[0]) * np.arange(-3, 0), x, x[-1] + (x[1] - x[0]) * np.arange(1, 4)]) for x in (gap, offset)
    ]
    oracle = NdBSpline(tuple(extended), table[:, :, 1], (3, 3))
    for place in [(0.83e-3, 0.4e-3), (gap[10], offset[7]), (4.9e-3, -2.7e-3)]:
        ours = surface(model.tables, 1, *place)
        assert ours.value[1] == pytest.approx(oracle(place), rel=1e-11)
        assert ours.by_gap[1] == pytest.approx(oracle(place, nu=(1, 0)), rel=1e-9)
        assert ours.by_offset[1] == pytest.approx(oracle(place, nu=(0, 1)), rel=1e-8, abs=1e-9)


def test_spline_is_constant_outside_its_nodes():
    model = rigs.build(RIG, 96000)
    outside = surface(model.tables, 0, RIG.gap_nodes[-1] + 1e-3, 0.0)
    edge = surface(model.tables, 0, RIG.gap_nodes[-1] - 1e-12, 0.0)
    assert outside.value == pytest.approx(edge.value, rel=1e-6)
    assert np.all(outside.by_gap == 0)


def test_fitted_table_reproduces_its_function():
    """The spline of an exponential of decay 1.5 mm on 0.1 mm cells: value to 1e-6, force factor to 1e-4."""
    model = rigs.build(RIG, 96000)
    found = surface(model.tables, 0, 1e-3, 0.0)
    assert found.value[1] == pytest.approx(0.0144 * 1.5e-3, rel=1e-6)
    assert -found.by_gap[1] == pytest.approx(0.0144, rel=1e-4)


@pytest.mark.parametrize("seed", [3, 4])
def test_energy_balance_of_the_equations(seed):
    """dE/dt along the flow equals supplied + external − losses, to rounding of the numerical derivative."""
    from twins.equations import Sources

    sources = Sources(force=lambda t: np.array([0.4]), stray=lambda t: 0.02)
    model = rigs.build(RIG, 96000)
    y = pack(random_state(model, seed))
    flow = rhs(model, 0.0, y, sources)
    span = 1e-9
    slope = (energy(model, y + span * flow) - energy(model, y - span * flow)) / (2 * span)
    flows = powers(model, 0.0, y, sources)
    expected = (
        flows["supplied"]
        + flows["external"]
        + flows["stray"]
        - sum(flows[name] for name in ("string", "drive", "sense", "contact", "damper"))
    )
    scale = sum(abs(value) for value in flows.values())
    assert slope == pytest.approx(expected, abs=1e-5 * scale)
    assert all(flows[name] > 0 for name in ("string", "drive", "sense", "damper"))


def test_compiled_equations_agree_with_the_slow_ones():
    from twins.equations import rails_of, unpack

    rig = replace(RIG, drivers=(), cores=())
    model = rigs.build(rig, 96000)
    y = pack(random_state(model))
    for rails in (None, np.array([0]), np.array([1])):
        slow, quick = rhs(model, 0.0, y, rails=rails), compiled.flow(model)(0.0, y, rails)
        np.testing.assert_allclose(quick, slow, rtol=1e-10, atol=1e-10)
    assert rails_of(model, unpack(model, y), 1.0).shape == (1,)


def test_force_and_linkage_come_from_one_coenergy():
    """∂F/∂i = ∂λ/∂u at L₁ = 0 (Maxwell's rule for a co-energy; Woodson & Melcher, Electromechanical Dynamics I, ch. 3, from memory)."""
    head = rigs.exponential_head(twist=0.0)
    rig = rigs.Rig(heads=(head,), poles=(rigs.Pole(circuit=0, sign=-1, offset=1e-3),), loops=(rigs.Loop(),))
    model = rigs.build(rig, 96000)
    q, small = np.zeros((1, 2, 8)), 1e-7
    places = pole_places(model, q)
    by_current = magnetic_forces(model, places, np.array([1.0, 0])) - magnetic_forces(model, places, np.array([0.0, 0]))
    for p in (0, 1):
        moved = np.zeros_like(q)
        moved[0, p] = small * model.poles.weight[0] / np.sum(model.poles.weight[0] ** 2)
        rise = linkage(model, pole_places(model, moved)) - linkage(model, pole_places(model, -moved))
        assert by_current[0, p] == pytest.approx(rise[0] / (2 * small), rel=1e-5)


def test_stronger_current_pulls_harder_and_magnet_attracts():
    """Winding and magnet as agreed: K > 0, W₀ falling with gap, so the force on the string is towards the head."""
    rig = rigs.Rig(heads=(rigs.exponential_head(),), poles=(rigs.Pole(circuit=1),), loops=(rigs.Loop(),))
    model = rigs.build(rig, 96000)
    places = pole_places(model, np.zeros((1, 2, 8)))
    assert magnetic_forces(model, places, np.zeros(2))[0, 0] == pytest.approx(2.95e-3, rel=1e-3)
    with_current = 2.95e-3 + 0.0144 * 0.05 + 0.032 * 0.05**2 / 2
    assert magnetic_forces(model, places, np.array([0, 0.05]))[0, 0] == pytest.approx(with_current, rel=1e-3)


def test_free_mode_decays_as_the_damped_oscillator():
    """q = e^(−σt) cos ω_d t + …: the textbook solution, which the exact rotation must also give."""
    model = rigs.build(rigs.Rig(wires=(rigs.Wire(axial=0.0),)), 96000)
    omega, sigma = model.strings.frequency[0, 0, 2], model.strings.decay[0, 0, 2]
    t = model.step
    damped = np.sqrt(omega**2 - sigma**2)
    exact = np.exp(-sigma * t) * (np.cos(damped * t) + sigma / damped * np.sin(damped * t))
    assert model.full.qq[0, 0, 2] == pytest.approx(exact, rel=1e-13)
    assert model.full.qv[0, 0, 2] == pytest.approx(np.exp(-sigma * t) * np.sin(damped * t) / damped, rel=1e-13)
    state = rigs.resting_state(model)
    state.q[0, 0, 2] = 1e-3
    y = reference(model, pack(state), np.array([0.0, t]))[-1]
    assert y[2] == pytest.approx(1e-3 * exact, rel=1e-9)


def test_amplifier_stays_at_the_rail_and_comes_back():
    """A driven clamp: pinned while pushed outwards, released at once when the input turns (no wind-up)."""
    loop = rigs.Loop(gain=1e5, rate=2 * np.pi * 1e5, node_capacitance=1e-7, offset=2e-3, low=-1.0, high=1.0)
    rig = rigs.Rig(wires=(rigs.Wire(partials=1),), heads=(rigs.linear_head(),), poles=(rigs.Pole(circuit=0),), loops=(loop,))
    model = rigs.build(rig, 96000)
    state = rigs.resting_state(model)
    state.v[0, 0, 0] = 1.0
    times = np.linspace(0, 8e-3, 401)
    run = reference(model, pack(state), times, rtol=1e-8)
    output, sensed = run[:, -2], run[:, -4] + loop.offset
    assert output.max() == pytest.approx(1.0, abs=1e-9)
    assert output.min() == pytest.approx(-1.0, abs=1e-9)
    released = np.nonzero((output[:-1] > 1 - 1e-9) & (output[1:] < 1 - 1e-9))[0]
    assert len(released) > 0
    assert np.all(sensed[released + 1] < 0.001)
