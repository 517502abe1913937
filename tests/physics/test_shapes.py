"""Point forces, plucks, taps and the whole string at rest, against closed forms and the equations of the time loop."""

import numpy as np
import pytest

from wirebloom.physics.levels import cents
from wirebloom.physics.rest import modal_compliance, string_rest
from wirebloom.physics.shapes import gravity_sag, pluck_amplitudes, point_compliance, point_weights, static_amplitudes, tap_force
from wirebloom.physics.string import StringModes, string_modes
from wirebloom.physics.tension import tension_rise
from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.models import Room
from wirebloom.rig.strings import Sideways, String

PLACES = np.array([0.12, 0.26])
GAPS = np.array([1.2e-3, 0.8e-3])


def modes(partials_to: float = 10_000.0, **values) -> StringModes:
    plain = {"name": "a", "material": "music wire", "diameter": 0.38e-3, "length": 0.65, "pitch": 196.0}
    made = String(**plain | {"partials_to": partials_to} | values)
    return string_modes(made, MATERIALS["music wire"], Room())


@pytest.mark.parametrize("x", [0.02, 0.13, 0.325])
def test_compliance_of_a_point_is_the_sum_over_all_partials(x):
    stiff = modes(40_000.0, diameter=1.0e-3)
    weight = point_weights(x, stiff)
    rest_of_series = 2 * stiff.length / (stiff.tension * np.pi**2) / stiff.wavenumber.size  # bound on what is left out
    total = modal_compliance(weight[None], stiff.modal_stiffness)[0, 0, 0]
    assert 0 < point_compliance(x, stiff) - total < rest_of_series


def test_compliance_of_a_clamp_free_beam_without_tension():
    stiff = modes(40_000.0, diameter=3e-3, length=0.05, pitch=None, tension=0.1)
    x, rest, length = 0.02, 0.03, 0.05
    beam = x**2 * rest**2 / (3 * length * stiff.stiffness)  # handbook: simply supported beam under a point load (from memory)
    assert point_compliance(x, stiff) == pytest.approx(beam, rel=1e-4)


def test_pluck_lifts_the_plucked_point():
    stiff = modes(40_000.0)
    held = pluck_amplitudes(1e-3, 0.13, stiff)
    assert held @ point_weights(0.13, stiff) == pytest.approx(1e-3, rel=5e-3)
    assert np.sum(point_weights(np.linspace(0.01, 0.64, 50), stiff) @ held < 0) == 0


def test_pluck_at_a_node_leaves_that_partial_silent():
    held = pluck_amplitudes(1e-3, 0.65 / 3, modes())
    assert np.abs(held[2::3]).max() < 1e-12 * held[0]


def test_static_amplitudes_answer_each_polarisation_alone():
    found = modes()
    weights = point_weights(PLACES, found)
    q = static_amplitudes(np.array([[1e-2, 0.0], [0.0, 2e-2]]), weights, found.modal_stiffness)
    assert q[0] == pytest.approx(1e-2 * weights[0] / (found.mass * (2 * np.pi * found.frequency[0]) ** 2))
    assert q[1] == pytest.approx(2e-2 * weights[1] / (found.mass * (2 * np.pi * found.frequency[1]) ** 2))


def test_tap_is_one_raised_cosine():
    t = np.linspace(-1e-3, 3e-3, 4001)
    push = tap_force(0.5, 2e-3, t)
    assert push.max() == pytest.approx(0.5, rel=1e-9)
    assert push[(t < 0) | (t > 2e-3)].max() == 0.0
    assert np.trapezoid(push, t) == pytest.approx(0.5 * 2e-3 / 2, rel=1e-6)  # mean 1/2


# A string sags in its middle like a parabola, μ g L²/(8T) = g/(32 f₁²): 0.19 mm at 40 Hz (derived).
def test_gravity_sag():
    assert gravity_sag(40.0) == pytest.approx(0.19e-3, rel=1e-2)
    soft = modes(pitch=40.0, diameter=0.2e-3)
    assert gravity_sag(40.0) == pytest.approx(soft.density * 9.80665 * soft.length**2 / (8 * soft.tension), rel=2e-3)


def bell_pull(strength, side=0.4e-3):
    """Energies w exp(−z/1.5 mm) exp(−(y/3 mm)²)."""

    def pull(u):
        z, y = GAPS - u[:, 0], side + u[:, 1]
        energy = strength * np.exp(-z / 1.5e-3 - (y / 3e-3) ** 2)
        return np.stack([energy / 1.5e-3, -2 * y / 3e-3**2 * energy], axis=1)

    return pull


@pytest.mark.parametrize(("strength", "kind"), [(1e-5, "free"), (1e-4, "free"), (2e-3, "latched")])
def test_whole_string_rests_where_the_time_loop_sees_no_force(strength, kind):
    found = modes(sideways=Sideways(detune=40.0))
    weights = point_weights(PLACES, found)
    rest = string_rest(found, weights, bell_pull(strength), GAPS)
    at, q = rest.equilibrium, rest.amplitudes
    assert at.kind == kind
    assert (weights @ q.T) == pytest.approx(at.displacement, rel=1e-9, abs=1e-15)
    net = at.force - np.stack([at.reaction, np.zeros(2)], axis=1)
    stretch = found.length / 2 * tension_rise(q, found) * found.wavenumber**2 * q
    residual = found.mass * (2 * np.pi * found.frequency) ** 2 * q + stretch - net.T @ weights
    assert np.abs(residual).max() < 1e-9 * np.abs(net).max()
    assert np.all(bell_pull(strength)(at.displacement) == at.force)


def test_a_string_over_no_head_is_straight():
    rest = string_rest(modes(), np.zeros((0, 51)), lambda u: u, np.zeros(0))
    assert rest.equilibrium.kind == "free"
    assert not rest.amplitudes.any()


# A resting magnet flattens the string by its pull's slope: f₁ of the linearised string against the spring formula (check T6).
def test_softness_tells_how_far_the_pitch_falls():
    found = modes(sideways=Sideways(detune=0.0))
    weights = point_weights(PLACES[:1], found)
    slope = 5.0
    rest = string_rest(found, weights, lambda u: np.stack([slope * u[:, 0], 0 * u[:, 1]], axis=1), GAPS[:1])
    share = slope * modal_compliance(weights, found.modal_stiffness)[0, 0, 0]
    assert rest.equilibrium.softness == pytest.approx(share, rel=1e-6)
    eigen = np.linalg.eigvalsh(np.diag(found.modal_stiffness[0]) - slope * np.outer(weights[0], weights[0]))[0]
    alone = np.sqrt(1 - slope * weights[0, 0] ** 2 / found.modal_stiffness[0, 0])
    assert cents(np.sqrt(eigen / found.modal_stiffness[0, 0])) == pytest.approx(cents(alone), rel=1e-2)
