"""The contact kick and the walk over a step against plain numpy, and the shortcut that leaves them out.

| what                                           | must                                      | how exactly   |
|------------------------------------------------|-------------------------------------------|---------------|
| kick without loss                              | keep ½v²/Γ + ½ψ²                          | 1e-14         |
| kick with loss, or a face that lets go         | lose exactly what it books                | 1e-13         |
| kick                                           | never pull, never store a negative loss   | exactly       |
| kick, soft and short                           | be the power law K δ^α (1 + β δ̇)         | 1e-3          |
| walk over a step                               | be eight dense kicks between rotations    | 1e-12         |
| glide                                          | end where the exact motion ends           | 1e-13         |
| glide that says no face was met                | have met none (256 looks between)         | 1 µm          |
| glide that says one was                        | leave everything as it was                | the same bits |
"""

import numpy as np
import pytest

from twins import rigs
from wirebloom.compile.propagators import rotation
from wirebloom.kernels.contact import BESIDE, CORE, EXPONENT, FLANGE, LOSS, LOST, PSI, ROOM, STIFFNESS, STRENGTH, contact_kick, glide, walk
from wirebloom.kernels.pack import turns

RANDOM = np.random.default_rng(8)
STEP = 1 / 96e3
DRAWS = 500


def drawn(loss):
    """psi, delta, speed, span, strength, stiffness, exponent, loss of one kick, over all that could be met."""
    psi = RANDOM.choice([0.0, 1.0]) * 10 ** RANDOM.uniform(-6, -1)
    speed = RANDOM.choice([-1.0, 1.0]) * 10 ** RANDOM.uniform(-3, 1)
    delta, strength, stiffness = 10 ** RANDOM.uniform([-9, 3, 5], [-4, 6, 12])
    return psi, delta, speed, STEP / 8, strength, stiffness, RANDOM.uniform(1, 3), loss


@pytest.mark.parametrize("loss", [0.0, 0.3, 30.0])
def test_kick_keeps_or_books_all_energy(loss):
    pressed = 0
    for _ in range(DRAWS):
        psi, delta, speed, span, strength, *law = drawn(loss)
        new, force, mean, lost = contact_kick(psi, delta, speed, span, strength, *law)
        later = speed - span * force * strength
        before, after = 0.5 * (speed**2 / strength + psi**2), 0.5 * (later**2 / strength + new**2)
        # After a hard kick ½ψ² of what was may be a difference of two larger numbers: rounding of those counts.
        assert after + lost == pytest.approx(before, abs=(1e-13 if loss else 1e-14) * before + 4e-16 * (span * force) ** 2 * strength)
        assert lost >= 0.0
        assert force >= 0.0
        if force > 0.0:
            pressed += 1
            assert mean == pytest.approx(0.5 * (speed + later), abs=1e-9 * abs(speed))
            assert lost == 0.0 if loss == 0.0 else lost > 0.0
    assert pressed > DRAWS // 4


def test_kick_off_the_face_forgets():
    assert contact_kick(0.2, 0.0, 1.0, STEP, 1e4, 1e7, 1.5, 0.3) == (0.0, 0.0, 1.0, pytest.approx(0.02))
    assert contact_kick(0.2, -1e-6, 1.0, STEP, 1e4, 1e7, 1.5, 0.3)[1] == 0.0


def test_kick_never_pulls():
    """Leaving fast with much loss: Hunt and Crossley's law would turn negative."""
    assert contact_kick(1e-4, 1e-6, -9.0, STEP, 1e4, 1e7, 1.5, 3.0)[1] == 0.0


def test_kick_is_the_power_law():
    """Soft enough that nothing changes within the kick: F = K δ^α (1 + β v), with ψ = √(2K/(α+1)) δ^((α+1)/2)."""
    stiffness, exponent, loss, delta, speed = 1e6, 1.5, 0.4, 2e-6, 0.5
    psi = np.sqrt(2 * stiffness / (exponent + 1)) * delta ** ((exponent + 1) / 2)
    force = contact_kick(psi, delta, speed, 1e-9, 1e-3, stiffness, exponent, loss)[1]
    assert force == pytest.approx(stiffness * delta**exponent * (1 + loss * speed), rel=1e-3)


class Bench:
    """A string of 24 partials over two points of contact, as the walk takes it."""

    def __init__(self, seed, rooms=(1e-5, 4e-5), stiffness=1e8):
        random = np.random.default_rng(seed)
        wire = rigs.Wire(partials=24)
        poles = tuple(rigs.Pole(position=x, aperture=0.0) for x in (0.11, 0.27))
        rig = rigs.Rig(wires=(wire,), heads=(rigs.linear_head(),), poles=poles, contacts=tuple(rigs.Contact(pole=j) for j in (0, 1)))
        strings = rigs.build_strings(rig.wires, 24)
        self.turn = {name: turns(rigs.rotation(strings, STEP * share))[0, 0] for name, share in SPANS.items()}
        contacts = rigs.build_contacts(rig, 24)
        self.weight, self.inverse_mass = contacts.weight, float(strings.inverse_mass[0])
        self.law = np.zeros((2, 8))
        self.law[:, STRENGTH], self.law[:, STIFFNESS], self.law[:, EXPONENT], self.law[:, LOSS] = contacts.strength, stiffness, 1.5, 0.3
        self.law[:, CORE], self.law[:, FLANGE] = 1e-3, 2e-3
        self.touch = np.zeros((2, 4))
        self.touch[:, ROOM] = rooms
        self.q = 2e-5 * random.standard_normal(24) / np.arange(1, 25)
        self.v = 0.3 * random.standard_normal(24) / np.sqrt(np.arange(1, 25))


SPANS = {"full": 1.0, "fine": 1 / 8, "half_fine": 1 / 16}


def turn(bench, name, q, v):
    qq, qv, vq, vv = bench.turn[name]
    return qq * q + qv * v, vq * q + vv * v


def slow_walk(bench):
    """Eight kicks in turn, by the formula as written on paper. Returns q, v, ψ, what was lost, work."""
    q, v = turn(bench, "half_fine", bench.q, bench.v)
    psi, lost, work, m = bench.touch[:, PSI].copy(), np.zeros(2), 0.0, 1 / bench.inverse_mass
    for sub in range(8):
        for k in range(2):
            w = bench.weight[k]
            before = v.copy()
            psi[k], force, _, gone = contact_kick(
                psi[k], w @ q - bench.touch[k, ROOM], w @ v, STEP / 8, w @ w / m, *bench.law[k, [STIFFNESS, EXPONENT, LOSS]]
            )
            v = v - STEP / 8 * force / m * w
            lost[k] += gone
            work += 0.5 * m * (v @ v - before @ before)
        q, v = turn(bench, "half_fine" if sub == 7 else "fine", q, v)
    return q, v, psi, lost, work


@pytest.mark.parametrize("seed", range(8))
def test_walk_is_eight_kicks(seed):
    bench = Bench(seed)
    w = bench.weight[0]  # the first point 2 µm in, and getting deeper
    bench.q += (1.2e-5 - w @ bench.q) / (w @ w) * w
    bench.v += (0.5 - w @ bench.v) / (w @ w) * w
    q, v, psi, lost, work = slow_walk(bench)
    body = (STEP, bench.inverse_mass)
    found = walk(bench.q, bench.v, bench.turn["fine"], bench.turn["half_fine"], bench.weight, bench.law, bench.touch, body)
    for ours, theirs, size in ((bench.q, q, 1e-5), (bench.v, v, 1.0), (bench.touch[:, PSI], psi, 1e-2), (bench.touch[:, LOST], lost, 1e-4)):
        np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-12 * size)
    assert found == pytest.approx(work, abs=1e-15)
    assert work < 0.0


def highest_between(bench, q, v):
    """How far above its room each point gets within a step, m, by looking 256 times along the exact motion."""
    strings = rigs.build_strings((rigs.Wire(partials=24),), 24)
    looks = []
    for share in np.linspace(0, 1, 257):
        span = rotation(strings.frequency, strings.decay, STEP * share)
        looks.append(bench.weight @ (span.qq[0, 0] * q + span.qv[0, 0] * v))
    return (np.array(looks) - bench.touch[:, ROOM]).max()


def test_glide_misses_no_face():
    said = {True: 0, False: 0}
    for seed in range(20):
        bench = Bench(seed, rooms=(3e-5, 2e-5))
        q, v = bench.q.copy(), bench.v.copy()
        free = bool(glide(bench.q, bench.v, bench.turn["full"], bench.weight, bench.touch, STEP, np.zeros((2, 24))))
        said[free] += 1
        if free:
            assert highest_between(bench, q, v) < 0.0
            np.testing.assert_allclose(bench.q, turn(bench, "full", q, v)[0], rtol=0, atol=1e-13 * np.abs(q).max())
        else:
            np.testing.assert_array_equal(bench.q, q)
            np.testing.assert_array_equal(bench.v, v)
    assert min(said.values()) >= 3, str(said)


def test_glide_waits_for_nobody_beside_the_face_and_for_all_in_touch():
    bench = Bench(3, rooms=(BESIDE, BESIDE))
    bench.q[0] = 1e-2
    assert glide(bench.q, bench.v, bench.turn["full"], bench.weight, bench.touch, STEP, np.zeros((2, 24)))
    bench.touch[1, PSI] = 1e-9
    assert not glide(bench.q, bench.v, bench.turn["full"], bench.weight, bench.touch, STEP, np.zeros((2, 24)))
