"""What the time loop must become when something in it vanishes or grows without bound.

| limit                                   | what is left                                            | how exactly       |
|-----------------------------------------|---------------------------------------------------------|-------------------|
| no heads, no stretching                 | every mode's damped cosine, 10 000 steps                | 1e-11             |
| exact rotation, compiled or by expm     | one and the same, forwards, backwards, in eighths       | 1e-13             |
| gain → 0, coils open                    | free decay, softened by the magnets' gradient           | 1e-3              |
| gain → 0, drive coil shorted            | free decay, braked by K²/(2mR)                          | 1e-3              |
| coils not connected                     | the string's motion without a loop, the loop at rest    | 1e-13, exactly 0  |
| string beyond the tables' ends          | bare decay                                              | 1e-13             |
| contact stiffness → ∞                   | the point's speed turned round, no depth, no loss       | 1e-5, one substep |
| 10 µm start, constant force factor      | a linear loop: twice the start, twice of everything     | 1e-9              |
| 1 nm start, heads with a field          | the same, but for δ/decay of the field                  | 1e-5              |
| one partial, large amplitude            | pitch rises as Kirchhoff's tension says                 | 1 %               |
| supply → 0                              | the output stays at 0 whatever is heard                 | exactly           |

A wrong sign of the pull's gradient hardens instead of softening; a wrong sign or a factor 2 in EMF or force drives or
brakes the wrong amount; half a step lost turns a cosine.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import expm

from consistency.runs import COARSE, DRIVE, LOOP, RATE, RIG, SENSE, assert_close, noisy_inputs, plucked, run, whole
from twins import rigs
from twins.splines import surface
from wirebloom.compile.propagators import rotation
from wirebloom.kernels import layout
from wirebloom.kernels.contact import contact_kick
from wirebloom.kernels.ledger import linkages, pole_motion

BARE = rigs.Rig(wires=(rigs.Wire(axial=0.0),))
QUIET = replace(LOOP, coil_noise=0.0, input_noise=0.0)
OPEN = replace(QUIET, gain=1e-9, sense_resistance=1e9, drive_resistance=1e9)


def compiled_spans(model: layout.Model) -> layout.Model:
    """The model with the rotations that compiling makes instead of those by scipy's expm."""
    strings, h = model.strings, model.step
    spans = {"full": h, "ahead": h / 2, "back": -h / 2, "fine": h / 8, "half_fine": h / 16}
    return model._replace(**{name: rotation(strings.frequency, strings.decay, span) for name, span in spans.items()})


def exact(model, q, v, t):
    """Textbook solution of q̈ + 2σq̇ + ω²q = 0."""
    omega, sigma = model.strings.frequency, model.strings.decay
    damped = np.sqrt(omega**2 - sigma**2)
    fade = np.exp(-sigma * t)
    return fade * (q * np.cos(damped * t) + (v + sigma * q) / damped * np.sin(damped * t))


def test_linear_string_follows_its_damped_cosine():
    steps, model = 10_000, compiled_spans(rigs.build(BARE, RATE))
    start = rigs.plucked_state(model, BARE)
    start.v[:] = 0.05 * np.random.default_rng(2).standard_normal(start.v.shape)
    q, _ = whole(run(model, start, rigs.quiet_inputs(model, steps)))
    wanted = exact(model, start.q, start.v, steps * model.step)
    assert_close(q, wanted, 1e-11)


@pytest.mark.parametrize("name", ["full", "ahead", "back", "fine", "half_fine"])
def test_rotations_are_matrix_exponentials(name):
    model = rigs.build(replace(BARE, wires=(rigs.Wire(partials=5, quality=2.0), rigs.Wire(partials=40))), RATE)
    found, wanted = getattr(compiled_spans(model), name), getattr(model, name)
    omega = model.strings.frequency
    per_omega = np.divide(1.0, omega, where=omega > 0, out=0 * omega)
    for entry, scale in (("qq", 1.0), ("vv", 1.0), ("qv", omega), ("vq", per_omega)):
        assert_close(getattr(found, entry) * scale, getattr(wanted, entry) * scale, 1e-13, entry)


def rest(model):
    """Displacement where the magnets' pull and the string balance, with no current, by fixed point."""
    state = rigs.resting_state(model)
    compliance = np.divide(model.strings.inverse_mass[0], model.strings.frequency**2, where=model.strings.frequency > 0, out=0 * state.q)
    for _ in range(50):
        state.q[:] = compliance * np.einsum("jp,jn->pn", pulls(model, state.q)[0], model.poles.weight)
    state.flux[:] = linkages(model, pole_motion(model, state.q))
    return state


def pulls(model, q):
    """Pull of the magnets at every pole (J, 2), and its gradient by finite differences (J, 2, 2)."""

    def force(moved):
        places = np.stack([model.poles.gap - moved[:, 0], model.poles.offset + moved[:, 1]], axis=1)
        at = [surface(model.tables, row, *place) for row, place in zip(model.poles.table, places, strict=True)]
        return np.array([[-place.by_gap[0], place.by_offset[0]] for place in at])

    moved, small = pole_motion(model, q), 1e-7
    shifts = [np.array([small, 0.0]), np.array([0.0, small])]
    gradient = np.stack([(force(moved + shift) - force(moved - shift)) / (2 * small) for shift in shifts], axis=2)
    return force(moved), gradient


def free_decay(model, q, t, *, stiffness=0.0, damping=0.0):
    """Linear motion of string 0, let go at q (2, N) from rest, with extra matrices (2N, 2N) on force, by scipy's expm."""
    omega, sigma, m = model.strings.frequency[0].ravel(), model.strings.decay[0].ravel(), 1 / model.strings.inverse_mass[0]
    size = omega.size
    matrix = np.zeros((2 * size, 2 * size))
    matrix[:size, size:] = np.eye(size)
    matrix[size:, :size] = stiffness / m - np.diag(omega**2)
    matrix[size:, size:] = -damping / m - 2 * np.diag(sigma)
    return (expm(matrix * t)[:, :size] @ q.ravel())[:size].reshape(q.shape[-2:])


def test_zero_gain_leaves_a_softened_string():
    """60 ms after a start 10 nm from rest. Less the run from rest itself: the scheme rests h²F/12m beside the balance."""
    strong = tuple(rigs.exponential_head(pull=60e-3, decay=1e-3) for _ in range(2))
    rig, steps = replace(RIG, heads=strong, loops=(OPEN,), wires=(rigs.Wire(axial=0.0),)), 5760
    model = rigs.build(rig, RATE)
    start = rest(model)
    away = 1e-8 * np.random.default_rng(3).standard_normal(start.q.shape) / np.arange(1, 9) ** 2
    moved = start._replace(q=start.q + away, flux=linkages(model, pole_motion(model, start.q + away)))
    (still, _), (q, _) = (whole(run(model, state, rigs.quiet_inputs(model, steps))) for state in (start, moved))
    wanted = free_decay(model, away[0], steps * model.step, stiffness=gradients(model, start.q))
    unsoftened = free_decay(model, away[0], steps * model.step)
    assert_close(q[0] - still[0], wanted, 1e-3)  # 2.7e-4 here, a quarter of it at twice the rate: the scheme's own
    assert np.abs(unsoftened - wanted).max() > 0.1 * np.abs(wanted).max()


def gradients(model, q):
    """∂(modal force)/∂q (2N, 2N) of the magnets' pull, N/m."""
    size = 2 * q.shape[2]
    weight = model.poles.weight
    return np.einsum("jab,jm,jn->ambn", pulls(model, q)[1], weight, weight).reshape(size, size)


def test_zero_gain_and_a_shorted_coil_brake_the_string():
    """Generator braking: force −K²u̇/R at one point, R far above ωL (derived)."""
    factor, resistance, steps = 1.0, 100.0, 9600
    loop = replace(OPEN, drive_resistance=resistance, drive_inductance=1e-6)
    pole = replace(DRIVE, head=0, offset=0.0)
    rig = rigs.Rig(heads=(rigs.linear_head(factor),), poles=(pole,), loops=(loop,), wires=(rigs.Wire(axial=0.0),), **COARSE)
    model = rigs.build(rig, RATE)
    start = rigs.plucked_state(model, rig, height=1e-6)
    q, _ = whole(run(model, start, rigs.quiet_inputs(model, steps)))
    brake = np.zeros((16, 16))
    brake[:8, :8] = factor**2 / resistance * np.outer(model.poles.weight[0], model.poles.weight[0])
    wanted = free_decay(model, start.q[0], steps * model.step, damping=brake)
    unbraked = free_decay(model, start.q[0], steps * model.step)
    assert_close(q[0], wanted, 1e-3)
    assert np.abs(wanted[0]).max() < 0.5 * np.abs(unbraked[0]).max()


def test_unconnected_coils_leave_the_string_alone():
    cut = replace(RIG, poles=tuple(replace(pole, circuit=-1) for pole in RIG.poles), loops=(QUIET,))
    found, wanted = plucked(cut, 2000), plucked(replace(cut, loops=()), 2000)
    for name in ("displacement", "force", "bridge"):
        assert_close(getattr(found.record, name), getattr(wanted.record, name), 1e-13, name)
    for name in ("flux", "node", "output", "supplied", "drive_heat", "sense_heat"):
        assert np.all(getattr(found.state, name) == 0.0), name


def test_string_far_away_decays_alone():
    """Beyond the highest gap and offset of the tables (5.8 and 3 mm here) nothing pulls, and the sense coil hears nothing."""
    far = replace(RIG, poles=(replace(SENSE, gap=8e-3, offset=5e-3), replace(DRIVE, gap=9e-3, offset=-5e-3)), loops=(QUIET,))
    found, wanted = plucked(far, 2000), plucked(rigs.Rig(), 2000)
    assert np.all(found.record.force == 0.0)
    assert np.abs(found.record.node).max() < 1e-14
    assert_close(found.record.bridge, wanted.record.bridge, 1e-13)


def test_hard_face_turns_the_speed_round():
    """One kick at K → ∞: v → −v, nothing stored, nothing lost."""
    speed, strength = 1.3, 2e4
    psi, force, mean, lost = contact_kick(0.0, 1e-7, speed, 1e-6, strength, 1e18, 1.5, 0.0)
    assert speed - 1e-6 * force * strength == pytest.approx(-speed, rel=1e-5)
    assert abs(psi) < 1e-2 * speed / np.sqrt(strength)
    assert abs(mean) < 1e-5 * speed
    assert lost == 0.0


def test_hard_face_lets_nothing_in():
    """The string enters a rigid face by no more than it moves in one substep, and stays there no longer than two."""
    pole = rigs.Pole(position=0.2, gap=1e-4, aperture=0.0)
    rig = rigs.Rig(heads=(rigs.linear_head(0.0),), poles=(pole,), contacts=(rigs.Contact(pole=0, stiffness=1e13),), **COARSE)
    found = plucked(rig, 4000, height=-1e-3)
    towards = found.record.displacement[:, 0, 0]
    fastest = np.abs(np.diff(towards)).max()
    assert found.record.contact.max() > 1.0
    assert towards.max() - pole.gap < fastest / 8


def linear_responses(rig, height, steps=2000):
    """Signals of a run started at a height, without noise, less those of the same run started at rest."""
    model = rigs.build(rig, RATE)
    quiet = rigs.quiet_inputs(model, steps)
    records = []
    for amplitude in (0.0, height):
        start = rest(model)
        start.q[0, 0] += rigs.plucked_state(model, rig, height=amplitude).q[0, 0]
        start.q[0, 1] += 0.3 * rigs.plucked_state(model, rig, height=amplitude).q[0, 0]
        start.flux[:] = linkages(model, pole_motion(model, start.q))
        records.append(run(model, start, quiet).record)
    names = ("displacement", "force", "current", "node", "output", "bridge")
    return [getattr(records[1], name) - getattr(records[0], name) for name in names]


def assert_doubled(rig, height, share):
    once, twice = linear_responses(rig, height), linear_responses(rig, 2 * height)
    for one, two in zip(once, twice, strict=True):
        assert np.abs(one).max() > 0.0
        assert_close(two, 2 * one, share)


SILENT = replace(RIG, loops=(replace(QUIET, gain=200.0),))


def test_constant_force_factor_makes_a_linear_loop():
    """10 µm, not 1 nm: a gap of 1.5 mm is rounded to 2e-19 m, and its rate of change to a hundred times that share."""
    heads = (rigs.linear_head(), rigs.linear_head(0.012))
    assert_doubled(replace(SILENT, heads=heads, wires=(rigs.Wire(axial=0.0),)), 1e-5, 1e-9)


def test_small_signals_are_linear():
    assert_doubled(SILENT, 1e-9, 1e-5)


def test_large_motion_raises_the_pitch():
    """One partial, planar: f/f₀ = 1 + (3/8)·(EA/4)k⁴a²/(μω²), the Duffing oscillator's rise (textbook; Nayfeh & Mook 1979, from memory)."""
    wire, steps, height = rigs.Wire(partials=1, quality=1e9, inharmonicity=0.0), 9600, 2e-3
    rig = rigs.Rig(wires=(wire,))
    model = rigs.build(rig, RATE)
    start = rigs.resting_state(model)
    start.q[0, 0, 0] = height
    bridge = run(model, start, rigs.quiet_inputs(model, steps)).record.bridge[:, 0, 0]
    omega, k2 = model.strings.frequency[0, 0, 0], model.strings.curvature[0, 0]
    rise = 3 / 8 * (wire.axial / 4) * k2**2 * height**2 / (wire.density * omega**2)
    assert frequency(bridge) / (omega / (2 * np.pi)) - 1 == pytest.approx(rise, rel=0.01)
    assert 1e-3 < rise < 1e-2


def frequency(signal):
    """Hz, by rising zero crossings."""
    up = np.nonzero((signal[:-1] < 0) & (signal[1:] >= 0))[0]
    places = up - signal[up] / (signal[up + 1] - signal[up])
    return RATE * (len(places) - 1) / (places[-1] - places[0])


def test_supply_at_zero_holds_the_output_at_zero():
    """The swing limits rise with the supply: a rig not yet switched on hears and does nothing."""
    rig = replace(RIG, loops=(replace(LOOP, gain=1e5, bias=2.0, elastance=1e3),))
    model = rigs.build(rig, RATE)
    inputs = noisy_inputs(model, 1000)
    inputs.supply[:] = 0.0
    found = run(model, rigs.plucked_state(model, rig), inputs)
    assert np.all(found.record.output == 0.0)
    assert np.all(found.state.supplied == 0.0)
