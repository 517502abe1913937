"""T2, T3 in the time loop itself: pitch of one partial, planar and whirling, against the closed forms of Duffing's oscillator.

Planar: Legge & Fletcher 1984, JASA 76; circular: Gough 1984, JASA 75:1770 (both from memory). A tension that heard one polarisation
only would bend the circle into an ellipse; a factor 2 in ΔT would double both rises.
"""

import numpy as np
import pytest

from duffing import pitch_rise_circular, pitch_rise_planar
from twins import rigs
from wirebloom.kernels import loop

RATE, STEPS, AMPLITUDE = 96e3, 9600, 2e-3
WIRE = rigs.Wire(partials=1, quality=1e9, inharmonicity=0.0, detune=0.0)


def bridge_of(whirl):
    """Bridge force (t, 2) of one partial let go at its amplitude, still or with the speed of a circle; ω and e = ε a²."""
    model = rigs.build(rigs.Rig(wires=(WIRE,)), RATE)
    omega, k2 = model.strings.frequency[0, 0, 0], model.strings.curvature[0, 0]
    e = WIRE.axial * k2**2 * AMPLITUDE**2 / (4 * WIRE.density * omega**2)
    state = rigs.resting_state(model)
    state.q[0, 0, 0] = AMPLITUDE
    state.v[0, 1, 0] = AMPLITUDE * omega * np.sqrt(1 + e) if whirl else 0.0
    record = rigs.empty_record(model, STEPS)
    loop.begin(model, state)
    assert loop.advance(model, state, rigs.quiet_inputs(model, STEPS), record)[0] == loop.DONE
    return record.bridge[:, 0], omega, e


def pitch(signal):
    """Hz, by rising zero crossings."""
    up = np.nonzero((signal[:-1] < 0) & (signal[1:] >= 0))[0]
    places = up - signal[up] / (signal[up + 1] - signal[up])
    return RATE * (len(places) - 1) / (places[-1] - places[0])


@pytest.mark.parametrize(("whirl", "closed_form"), [(False, pitch_rise_planar), (True, pitch_rise_circular)])
def test_rise_of_pitch_in_the_time_loop(whirl, closed_form):
    bridge, omega, e = bridge_of(whirl)
    assert pitch(bridge[:, 0]) * 2 * np.pi / omega - 1 == pytest.approx(closed_form(e), rel=2e-3)
    assert 1e-3 < closed_form(e) < 1e-2


def test_a_circle_stays_a_circle():
    bridge, *_ = bridge_of(True)
    radius = np.hypot(bridge[:, 0], bridge[:, 1])
    assert np.ptp(radius) < 2e-3 * radius.mean()
