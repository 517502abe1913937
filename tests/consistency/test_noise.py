"""What is heard when nothing plays.

| rig                                            | what must be found                    | how exactly |
|------------------------------------------------|---------------------------------------|-------------|
| amplifier unplugged, sense coil alone          | 4kTR in every octave, 0.1 … 6 kHz     | 0.5 dB      |
| the same at twice the rate                     | the same density                      | 0.5 dB      |
| the same at 308 K                              | 4kTR of the warm coil                 | 0.5 dB      |
| coil and a load resistor as large              | 4kT of both in parallel: a quarter    | 0.5 dB      |
| no coil noise, amplifier's own                 | (e_n G)² at the output                | 0.5 dB      |

Sources: thermal noise 4kTR one-sided (Nyquist 1928, Phys. Rev. 32:110, from memory); k = 1.380649e-23 J/K is exact in the SI.
A density taken for two-sided is off by 3 dB, a step taken for a rate by much more, an rms per step that is not rescaled
with the step by 3 dB an octave. The load's own noise is not modelled: with a load equal to the coil half the voltage, a
quarter of 4kTR, is left.
"""

import numpy as np
import pytest
from scipy.signal import welch

from consistency.scenario import compiled
from twins import rigs
from wirebloom.kernels import loop

BOLTZMANN = 1.380649e-23  # J/K
OCTAVES = [(f, 2 * f) for f in (100, 200, 400, 800, 1600, 3200)]
SECONDS = 4.0


def listen(ready, seconds=SECONDS, coil=1.0, **changes):
    """Node and output voltages of a compiled rig whose string has been taken away, with values of its stage changed."""
    model = ready.model
    model = model._replace(
        stages=model.stages._replace(**{name: np.array([value]) for name, value in changes.items()}),
        coils=model.coils._replace(noise=coil * model.coils.noise),
        poles=model.poles._replace(gap=np.full(2, 1.0)),
        contacts=model.contacts._replace(radius=np.zeros_like(model.contacts.radius) - 1.0),
    )
    state = rigs.resting_state(model)
    steps = round(seconds / model.step)
    inputs, record = rigs.quiet_inputs(model, steps), rigs.empty_record(model, steps)
    inputs.noise[:] = np.random.default_rng(11).standard_normal(inputs.noise.shape)
    loop.begin(model, state)
    assert loop.advance(model, state, inputs, record)[0] == loop.DONE
    return 1 / model.step, record


def assert_density(rate, signal, wanted):
    """One-sided density within half a decibel in every octave."""
    frequency, density = welch(signal, rate, nperseg=round(rate / 20))
    for low, high in OCTAVES:
        found = density[(frequency >= low) & (frequency < high)].mean()
        assert 10 * np.log10(found / wanted) == pytest.approx(0.0, abs=0.5), f"{low} … {high} Hz"


UNPLUGGED = {"rate": 0.0, "noise": 0.0}


@pytest.mark.parametrize("overrides", [(), ("run.rate=192 kHz",), ("room.temperature=35 degC",)], ids=["plain", "rate", "warm"])
def test_coil_makes_thermal_noise(overrides):
    """Copper 0.393 % a kelvin (IEC 60028, from memory) from 200 Ω at 20 °C."""
    ready = compiled(*overrides)
    kelvin = 308.15 if overrides and "temperature" in overrides[0] else 293.15
    resistance = 200.0 * (1 + 0.00393 * (kelvin - 293.15))
    rate, record = listen(ready, **UNPLUGGED)
    assert rate == pytest.approx(192e3 if overrides and "rate" in overrides[0] else 96e3)
    assert_density(rate, record.node[:, 0], 4 * BOLTZMANN * kelvin * resistance)
    assert np.all(record.output == 0.0)


def test_coil_noise_is_divided_by_its_load():
    """Octaves below 800 Hz only would do for 20 mH; the inductance is taken out instead."""
    ready = compiled("heads.sense.inductance=0.1 mH", "loops.main.amplifier.input_resistance=200 ohm")
    rate, record = listen(ready, **UNPLUGGED)
    assert_density(rate, record.node[:, 0], 4 * BOLTZMANN * 293.15 * 200.0 / 4)


def test_amplifier_noise_is_amplified():
    """18 nV/√Hz times 100, bandwidth 3 MHz/100: flat to 6 kHz."""
    ready = compiled("loops.main.amplifier.gain=100")
    rate, record = listen(ready, coil=0.0)
    assert_density(rate, record.output[:, 0], (18e-9 * 100) ** 2)
