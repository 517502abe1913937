"""Poles and gain margins of a whole loop against python-control, which closes it from transfer functions of its own.

Drive coil, two partials and amplifier are written down as rational functions of s, in rad/ms so that their
polynomials stay within reach of double numbers. A wrong sign of motional impedance, crosstalk or polarity moves every pole.
"""

import control
import numpy as np
import pytest

from analysis.by_hand import MASS, Bench, Pole, linear_head, model, network, rest, row
from wirebloom.analysis.benches import benches_of
from wirebloom.analysis.loop_gain import loop_gain
from wirebloom.analysis.small import find

SENSE, DRIVE, HENRY, OHM, MUTUAL = 0.012, 0.02, 3e-3, 40.0, 2e-6
GAIN, PACE = 4e3, 2 * np.pi * 3e6
PITCHES, DECAYS = (200.0, 401.0), (3.0, 5.0)
AT_SENSE, AT_DRIVE = (0.6, -0.9), (0.5, 0.8)
MS = 1e3


def bench(mutual=MUTUAL, gain=GAIN):
    burden = 1e9
    voltage = np.array([row(4, z0=-burden), row(4, z2=1.0, z1=-OHM)])
    rows = network(np.zeros((0, 4)), voltage, np.array([row(4, z0=-burden)]), np.array([row(4, z1=1.0)]))
    poles = (Pole(AT_SENSE, circuit=0, flux=linear_head(SENSE)), Pole(AT_DRIVE, circuit=1, flux=linear_head(DRIVE)))
    built = model(
        Bench(
            pitches=PITCHES,
            decays=DECAYS,
            poles=poles,
            inductance=np.array([[HENRY, mutual], [mutual, HENRY]]),
            network=rows,
            stages=({"gain": gain, "rate": PACE},),
        )
    )
    return find(benches_of(built, rest(built))[0])


def opened(mutual=MUTUAL, gain=GAIN):
    """Return ratio as transfer function over s in rad/ms: amplifier, drive current, force, speed, EMF; and crosstalk."""
    s = control.tf([1.0, 0.0], [1.0])
    mobility, passed = control.tf([0.0], [1.0]), control.tf([0.0], [1.0])
    for hertz, sigma, here, there in zip(PITCHES, DECAYS, AT_SENSE, AT_DRIVE, strict=True):
        resonance = control.tf([1.0 / MS, 0.0], [1.0, 2.0 * sigma / MS, (2.0 * np.pi * hertz / MS) ** 2]) / MASS  # speed per force
        mobility += (DRIVE * there) ** 2 * resonance
        passed += SENSE * here * DRIVE * there * resonance
    admittance = 1.0 / (OHM + MS * HENRY * s + mobility)
    amplifier = control.tf([gain], [gain / PACE * MS, 1.0])
    return control.minreal(amplifier * admittance * (passed + MS * mutual * s), 1e-6, verbose=False)


@pytest.mark.parametrize("polarity", ["closed", "other"])
def test_poles(polarity):
    sign = 1 if polarity == "closed" else -1
    wanted = MS * control.poles(control.feedback(opened(), 1, sign=sign))
    found = getattr(bench(), polarity)
    towards = found.last[:2]
    for root in [*towards, *found.electrical[np.abs(found.electrical) < 1e6]]:
        assert np.min(np.abs(wanted - root)) < 1e-5 * abs(root)


def test_gain_margins():
    """stability_margins counts feedback of the other sign; its phase crossings are where ours stands at phase 0."""
    gain, *_, crossing, _, _ = control.stability_margins(-opened(), returnall=True)
    own = bench()
    for k in np.flatnonzero(~np.isnan(own.share)):
        near = np.argmin(np.abs(MS * crossing - own.closed.value[0, k].imag))
        assert own.share[k] == pytest.approx(gain[near], rel=1e-4)
    assert np.sum(~np.isnan(own.share)) == 1  # partial 1 is fed; partial 2 has a node between the heads


def test_return_ratio():
    hertz = np.array([50.0, 199.0, 200.0, 203.0, 300.0, 401.0, 5000.0])
    wanted = opened()(2j * np.pi * hertz / MS)
    assert loop_gain(bench().bench, hertz, 0) == pytest.approx(wanted, rel=1e-4)
