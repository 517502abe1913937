"""What energy may do.

| rig                                              | what must hold                                         | how exactly          |
|--------------------------------------------------|--------------------------------------------------------|----------------------|
| saturated loop, magnets, finger, capacitor       | residual of the ledger at every frame                  | 1e-4 of the string's |
| the same at 96 kHz                               | drift of the ledger, mean over frames                  | 1e-7 of throughput   |
| the same, each octave of rate                    | residual                                               | ÷ 4 (3 … 5)          |
| no loss anywhere, coil without resistance        | energy: bounded, no trend                              | 1e-5; ÷ 4            |
| lossless string, loop at work                    | no string loss in the ledger                           | 1e-11                |
| one mode in free decay                           | string loss of the ledger is ∫ 2σ m v² dt              | 1e-4                 |
| face of 1e5 … 1e12 N/m^1.5, 0.1 … 10 m/s         | energy + what the contact lost: constant; no gain      | 1e-12                |
| the same, swept in from the side                 | the same                                               | 1e-12                |
| dashpot of 1e-6 … 1e9 N·s/m                      | energy + what it took: constant while it works         | 1e-12                |
| every pole, any current                          | ∂F/∂i = ∂λ/∂u                                          | 1e-12                |
| every pole, any flux                             | F = −∂E/∂u of the ledger's magnetic energy             | 1e-6                 |

A force that is not the slope of the stored energy, a heat with the current of the wrong moment, an EMF of one factor and
a force of another, an explicit kick at a hard face: all of them make energy.
"""

from dataclasses import replace

import numpy as np
import pytest

from consistency.runs import COARSE, HEADS, LOOP, RATE, RIG, assert_close, copied, noisy_inputs, plucked, run, whole
from twins import rigs
from wirebloom.kernels import layout, loop
from wirebloom.kernels.ledger import linkages, magnetic_energy, pole_motion, stored
from wirebloom.kernels.pack import pack
from wirebloom.run.accounts import Accounts

FRAMES, FRAME = 60, 5e-3  # s
SATURATED = replace(
    RIG,
    wires=(rigs.Wire(partials=24),),
    loops=(replace(LOOP, gain=1e5, elastance=1 / 470e-6, bias=2.0, coil_noise=0.0, input_noise=0.0),),
    dampers=(rigs.Damper(resistance=1e-4),),
)


class Books(dict):
    """Columns of the ledger, one row a frame."""

    def throughput(self):
        """What has passed through by the end, J: everything that was put in or lost."""
        lost = sum(np.sum(self[name][-1]) for name in ("string_loss", "drive_heat", "sense_heat", "contact_loss", "damper_loss"))
        return abs(np.sum(self["supplied"][-1])) + lost

    def stored(self):
        """Energy of strings, circuits and contacts at every frame, J."""
        kept = [self[name].reshape(len(self["time"]), -1).sum(axis=1) for name in ("string_energy", "tension_energy", "capacitor_energy")]
        return sum(kept)


def ledger(rig, rate, height=3e-4, frames=FRAMES):
    """The books of a run without noise, by the same accounts that a take is made of."""
    model = rigs.build(rig, rate)
    state = rigs.plucked_state(model, rig, height=height)
    steps = round(FRAME * rate)
    inputs, record = rigs.quiet_inputs(model, steps), rigs.empty_record(model, steps)
    accounts = Accounts(model, pack(model), state, 0 * state.q)
    loop.begin(model, state)
    accounts.open(state)
    for _ in range(frames):
        assert loop.advance(model, state, inputs, record)[0] == loop.DONE
        accounts.take(state, record)
    return Books(accounts.columns()), record


@pytest.fixture(scope="module")
def saturated():
    return {rate: ledger(SATURATED, rate) for rate in (48e3, 96e3, 192e3, 384e3)}


def test_ledger_closes_at_every_frame(saturated):
    books, record = saturated[96e3]
    assert np.abs(record.output - 2.0).max() == pytest.approx(3.0, abs=1e-6)
    assert np.all(np.abs(books["residual"]) < 1e-4 * books["string_energy"][:, 0])


@pytest.mark.parametrize("share", [0.3, -0.1])
def test_ledger_closes_with_solid_cores(share):
    """Eddy currents heat the cores with the string's energy and the amplifier's; none of it is lost count of."""
    cores = (rigs.Core(0, (0,), share=(0.05, share)), rigs.Core(1, (1,), inductance=(8e-4, 1.5e-3), resistance=(2.3, 83.0)))
    books, _ = ledger(replace(SATURATED, cores=cores), 96e3)
    plain, _ = ledger(SATURATED, 96e3)
    assert np.all(np.abs(books["residual"]) < 1e-4 * books["string_energy"][:, 0])
    assert books["sense_heat"][-1, 0] > plain["sense_heat"][-1, 0]


def test_ledger_does_not_drift(saturated):
    """The residual swings with the motion; what counts is where it goes."""
    books, _ = saturated[96e3]
    last, first = books["residual"][-20:].mean(), books["residual"][1:21].mean()
    assert abs(last - first) < 1e-7 * books.throughput()


def test_residual_falls_fourfold_an_octave(saturated):
    sizes = np.array([np.sqrt(np.mean(books["residual"] ** 2)) for books, _ in saturated.values()])
    ratios = sizes[:-1] / sizes[1:]
    assert np.all((ratios > 3.0) & (ratios < 5.0)), f"rms residual {sizes} J, ratios {ratios}"


LOSSLESS = replace(
    RIG,
    wires=(rigs.Wire(quality=1e30),),
    loops=(replace(LOOP, rate=0.0, sense_resistance=0.0, drive_resistance=0.0, node_conductance=0.0, elastance=1e5),),
)


def test_energy_without_losses_is_kept():
    swings = []
    for rate in (96e3, 192e3):
        books, _ = ledger(LOSSLESS, rate, frames=200)
        total = books.stored() + books["magnetic_energy"]
        size, half = total[0], len(total) // 2
        assert abs(total[half:].mean() - total[:half].mean()) < 1e-6 * size
        swings.append(np.ptp(total) / size)
    assert swings[0] < 1e-5
    assert 3.0 < swings[0] / swings[1] < 5.0, str(swings)


def test_a_lossless_string_loses_nothing():
    """The loss of the ledger is what is missing from work and energy; here nothing may be missing."""
    books, _ = ledger(replace(SATURATED, wires=(rigs.Wire(quality=1e30),), dampers=()), RATE)
    assert books["string_loss"][:, 0] == pytest.approx(0.0, abs=1e-11 * books.throughput())


def test_string_loss_is_the_damping():
    """One mode: ∫ 2σ m v² dt by the trapezoid, from the velocity of the damped cosine."""
    rig = rigs.Rig(wires=(rigs.Wire(partials=1, quality=100.0),), heads=HEADS, **COARSE)
    books, _ = ledger(rig, RATE, frames=4)
    model = rigs.build(rig, RATE)
    t, start = np.linspace(0.0, books["time"][-1], 20_001)[:, None], rigs.plucked_state(model, rig, height=3e-4).q[0, :, 0]
    omega, sigma = model.strings.frequency[0, :, 0], model.strings.decay[0, :, 0]
    damped = np.sqrt(omega**2 - sigma**2)
    v = -start * omega**2 / damped * np.exp(-sigma * t) * np.sin(damped * t)
    loss = np.trapezoid(np.sum(2 * sigma * v**2, axis=1), t[:, 0]) / model.strings.inverse_mass[0]
    assert books["string_loss"][-1, 0] == pytest.approx(loss, rel=1e-4)


def face(stiffness, loss=0.0, gap=1e-4, offset=0.0):
    """A string over a face and no field, without damping: only the contact can take or make energy."""
    pole = rigs.Pole(gap=gap, offset=offset, aperture=0.0)
    contacts = (rigs.Contact(pole=0, stiffness=stiffness, loss=loss),)
    wires = (rigs.Wire(partials=24, quality=1e30, axial=1e-9),)
    return rigs.Rig(wires=wires, heads=(rigs.linear_head(0.0),), poles=(pole,), contacts=contacts, **COARSE)


def assert_contact_is_passive(rig, speed, sideways=0.0):
    """Energy and loss of a string thrown at the face, looked at every 16 steps."""
    model = rigs.build(rig, RATE)
    state, packed = rigs.resting_state(model), pack(model)
    state.v[0, 0, :] = speed * model.contacts.weight[0] * model.strings.inverse_mass[0] / model.contacts.strength[0]
    state.v[0, 1, 0] = sideways
    inputs, record = rigs.quiet_inputs(model, 16), rigs.empty_record(model, 16)
    kept, modal, lost, pushed = [], [], [], 0.0
    start = stored(model, packed, state).modal.sum()
    loop.begin(model, state)
    for _ in range(150):
        assert loop.advance(model, state, inputs, record)[0] == loop.DONE
        assert record.contact.min() >= 0.0
        now = stored(model, packed, state)
        kept.append(now.modal.sum() + now.contact)
        modal.append(now.modal.sum())
        lost.append(float(state.contact_loss.sum()))
        pushed = max(pushed, record.contact.max())
    assert pushed > 0.0
    assert np.array(kept) + lost == pytest.approx(start, rel=1e-12)
    assert np.all(np.diff([0.0, *lost]) >= 0.0)
    assert max(modal) <= start * (1 + 1e-12)
    return lost[-1] / start


@pytest.mark.parametrize("speed", [0.1, 1.0, 10.0])
@pytest.mark.parametrize("stiffness", [1e5, 1e7, 1e9, 1e12])
def test_contact_never_makes_energy(stiffness, speed):
    assert_contact_is_passive(face(stiffness, gap=1e-5 * speed), speed)
    assert_contact_is_passive(face(stiffness, gap=1e-5 * speed, loss=0.5), speed)


def test_contact_from_the_side_never_makes_energy():
    """The string dives beside the core and is swept onto it: deep inside a face from one step to the next."""
    rig = face(1e9, offset=3e-3)
    rig = replace(rig, contacts=(replace(rig.contacts[0], recess=(0.0, 3e-4)),))
    assert_contact_is_passive(rig, 3.0, sideways=-4.0)


def test_a_soft_face_without_loss_loses_little():
    """What is booked as lost without hysteresis is the scheme's own: the rest of ψ when the string leaves."""
    assert assert_contact_is_passive(face(1e6, gap=3e-6), 0.3) < 0.01


@pytest.mark.parametrize("resistance", [1e-6, 1e-2, 1.0, 1e3, 1e9])
def test_damper_never_makes_energy(resistance):
    rig = rigs.Rig(wires=(rigs.Wire(partials=24, quality=1e30, axial=0.0),), dampers=(rigs.Damper(resistance=resistance),))
    model = rigs.build(replace(rig, wires=(replace(rig.wires[0], axial=1e-9),)), RATE)
    start = rigs.plucked_state(model, rig)
    found = run(model, start, rigs.quiet_inputs(model, 2000))
    before, after = (0.5 / model.strings.inverse_mass[0] * modal_energy(model, q, v) for q, v in ((start.q, start.v), whole(found)))
    assert found.state.damper_loss[0] >= 0.0
    assert after + found.state.damper_loss[0] == pytest.approx(before, rel=1e-12)
    assert found.state.work[0] == pytest.approx(-found.state.damper_loss[0], rel=1e-12)


def modal_energy(model, q, v):
    return np.sum(v**2) + np.sum((model.strings.frequency * q) ** 2)


MANY = replace(
    RIG,
    poles=tuple(
        rigs.Pole(head=h, position=x, gap=g, offset=y, circuit=c, sign=s)
        for h, x, g, y, c, s in ((0, 0.2, 1e-3, 4e-4, 0, -1.0), (1, 0.15, 8e-4, -7e-4, 1, 1.0), (0, 0.3, 2e-3, 1e-4, 1, -1.0))
    ),
)


@pytest.fixture(scope="module")
def still():
    """A model, and a displacement and flux linkages (of 30 and −50 mA and what they find) at which to look at its forces."""
    model = rigs.build(MANY, RATE)
    q = 2e-5 * np.random.default_rng(5).standard_normal((1, 2, 8))
    return model, q


def forces_at(model, q, flux):
    """Magnetic forces and currents at given displacement and flux linkages, from one vanishing step of the time loop."""
    tiny = model._replace(step=1e-30)
    state = rigs.resting_state(tiny)._replace(q=q.copy(), flux=flux.copy())
    record = rigs.empty_record(tiny, 1)
    assert loop.advance(tiny, state, rigs.quiet_inputs(tiny, 1), record)[0] == loop.DONE
    return record.force[0], record.current[0]


def flux_of(model, q, current):
    from twins.equations import inductance, pole_places

    return linkages(model, pole_motion(model, q)) + inductance(model, pole_places(model, q)) @ current


def test_force_by_current_is_linkage_by_place(still):
    """F is quadratic in i and its central difference therefore exact; ∂λ/∂u is the look-up's own slope."""
    from wirebloom.kernels.ledger import wires_at

    model, q = still
    wire, _ = wires_at(pack(model), pole_motion(model, q))
    for c in (0, 1):
        i, by = np.array([0.03, -0.05]), 0.02
        step = by * np.eye(2)[c]
        upper, lower = (forces_at(model, q, flux_of(model, q, i + sign * step))[0] for sign in (1, -1))
        own = (model.poles.circuit == c)[:, None]
        signs = model.poles.sign[:, None]
        slope = np.stack([-(wire[:, 5:6] * signs + wire[:, 6:7] * i[c]), wire[:, 9:10] * signs + wire[:, 10:11] * i[c]], axis=1)[..., 0]
        assert_close((upper - lower) / (2 * by), own * slope, 1e-12)


def test_force_is_the_slope_of_the_energy(still):
    """F_j = −∂E_mag/∂u_j at fixed flux: moving one pole by a change of its rest place, ± 0.1 µm."""
    model, q = still
    flux = flux_of(model, q, np.array([0.03, -0.05]))
    force, _ = forces_at(model, q, flux)
    small = 1e-7
    for j in range(3):
        for p, (place, sense) in enumerate((("gap", -1.0), ("offset", 1.0))):
            upper, lower = (energy_of(shifted(model, place, j, by), q, flux) for by in (sense * small, -sense * small))
            assert (lower - upper) / (2 * small) == pytest.approx(force[j, p], rel=1e-6, abs=1e-6 * np.abs(force[:, p]).max())


def energy_of(model, q, flux, eddy=None):
    return magnetic_energy(model, pack(model), q, flux, np.zeros((0, 2)) if eddy is None else eddy)


def test_force_with_eddy_currents_is_the_slope_of_the_energy():
    """The same at fixed flux of coils and cores: what the string sees of the eddy currents and what they see of it are one."""
    cores = (rigs.Core(1, (1, 2), share=(0.2, -0.1)), rigs.Core(0, (0,), share=(0.05, 0.4)))
    model = rigs.build(replace(MANY, cores=cores), RATE)._replace(step=1e-30)
    random, small = np.random.default_rng(6), 1e-7
    q = 2e-5 * random.standard_normal((1, 2, 8))
    start = rigs.without_current(model, rigs.resting_state(model)._replace(q=q))
    start.flux[:] += 1e-4 * random.standard_normal(2)
    start.eddy[:] += 2e-5 * random.standard_normal((2, 2))
    state, record = copied(start), rigs.empty_record(model, 1)
    assert loop.advance(model, state, rigs.quiet_inputs(model, 1), record)[0] == loop.DONE
    for j in range(3):
        moved = [energy_of(shifted(model, "gap", j, by), q, start.flux, start.eddy) for by in (-small, small)]
        assert (moved[1] - moved[0]) / (2 * small) == pytest.approx(record.force[0, j, 0], rel=1e-6)


def shifted(model, place, j, by) -> layout.Model:
    moved = getattr(model.poles, place).copy()
    moved[j] += by
    return model._replace(poles=model.poles._replace(**{place: moved}))


def test_noise_and_pushes_are_booked():
    """Thermal EMF and outside forces put energy in or take it out; the ledger closes with them."""
    rig = replace(SATURATED, loops=(replace(SATURATED.loops[0], coil_noise=1.0, node_conductance=1e-2),), drivers=(rigs.Driver(),))
    model = rigs.build(rig, RATE)
    state = rigs.plucked_state(model, rig, height=3e-4)
    accounts = Accounts(model, pack(model), state, 0 * state.q)
    loop.begin(model, state)
    accounts.open(state)
    inputs, record = noisy_inputs(model, 9600), rigs.empty_record(model, 9600)
    loop.advance(model, state, inputs, record)
    accounts.take(state, record)
    books = Books(accounts.columns())
    residual = abs(books["residual"][-1])
    assert abs(books["noise"][-1, 0]) > 10 * residual
    assert abs(books["external"][-1]) > 10 * residual
    assert residual < 2e-3 * books.stored()[-1]


def test_work_of_the_drive_is_what_the_string_gets():
    """Two roads: ∫F du from the record, and the kicks' own sum."""
    found = plucked(replace(SATURATED, dampers=(), wires=(rigs.Wire(axial=0.0),)), 9600, height=3e-4)
    moved, force = found.record.displacement, found.record.force
    assert 0.5 * np.sum((force[1:] + force[:-1]) * np.diff(moved, axis=0)) == pytest.approx(found.state.work[0], rel=2e-2)
