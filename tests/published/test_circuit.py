"""The time loop's circuit against textbook electronics: no string moves, a sine at the amplifier's input does all.

| id | what                                             | source                                                                  |
|----|--------------------------------------------------|-------------------------------------------------------------------------|
| A1 | describing function of a saturation              | Gelb & Vander Velde 1968; Khalil (from memory); 1.25, 2, 5 also seen in |
|    |                                                  | the documentation of a control library                                  |
| A4 | class B: power into the load and from the supply | Boylestad & Nashelsky, ex. 12.8, 12.9 (seen): 30 V, 16 Ω: 28.125 W of   |
|    |                                                  | 35.81 W; each transistor at most 5.7 W; 22 V of 24 V: 72 %, 6 V: 19.6 % |
| A6 | series R L C: lead and size of the current       | textbook; the figures recomputed with a circuit simulator               |
| A7 | corner GBW/gain, full-power bandwidth SR/(2π V)  | textbook (from memory): 1 MHz, 101: 9.901 kHz; 0.5 V/µs, 10 V: 7957.75 Hz |

A gain that acts on v_o instead of its error, a rate in Hz for rad/s, an elastance taken for a capacitance, a slew limit per
step for per second: each is out by far more than the tolerances.
"""

from dataclasses import replace

import control
import numpy as np
import pytest

from synthetic import synthetic_take
from twins import rigs
from wirebloom.kernels import loop
from wirebloom.take.measures import measure

# Follows its input up to 10 MHz, does not clip, and has nothing but a resistor to drive.
FOLLOWER = rigs.Loop(
    gain=1.0, rate=2 * np.pi * 1e7, slew=1e12, low=-1e3, high=1e3, drive_resistance=16.0, drive_inductance=1e-7, input_noise=1.0
)


def run(amplifier, amplitude, frequency, rate, periods):
    """A sine at the amplifier's input from rest, over whole periods: time, record and last state."""
    rig = rigs.Rig(wires=(rigs.Wire(partials=1),), heads=(), poles=(), loops=(amplifier,))
    model = rigs.build(rig, rate)
    state = rigs.resting_state(model)
    inputs = rigs.quiet_inputs(model, round(rate / frequency * periods))
    time = (np.arange(len(inputs.supply)) + 0.5) / rate
    inputs.noise[:, 1] = amplitude * np.sin(2 * np.pi * frequency * time)
    record = rigs.empty_record(model, len(time))
    loop.begin(model, state)
    assert loop.advance(model, state, inputs, record)[0] == 0
    return time, record, state


def driven(amplifier, amplitude, frequency, *, rate=96_000, periods=20, settle=10):
    """Response of the loop to a sine at the amplifier's input over whole periods, after some to settle."""
    time, record, _ = run(amplifier, amplitude, frequency, rate, periods + settle)
    late = time >= settle / frequency
    return time[late], record.output[late, 0], record.current[late, 1]


def phasor(time, signal, frequency):
    """Complex amplitude of sin: A e^{iφ} of A sin(ωt + φ)."""
    return 2j * np.mean(signal * np.exp(-2j * np.pi * frequency * time))


@pytest.mark.parametrize(
    ("ratio", "expected"),
    [(1.25, 0.895912), (1.5, 0.780898), (2, 0.608998), (3, 0.416417), (5, 0.252940), (10, 0.127111), (200, 4 / (200 * np.pi))],
)
def test_describing_function_of_the_rails(ratio, expected):
    """A1: fundamental of a sine clipped at 1 V, over the sine's amplitude; far in the clamp a relay's 4/(πA)."""
    assert control.saturation_nonlinearity(1).describing_function(ratio) == pytest.approx(expected, rel=1e-5)
    time, output, _ = driven(replace(FOLLOWER, low=-1.0, high=1.0), ratio, 100.0)
    assert abs(phasor(time, output, 100.0)) / ratio == pytest.approx(expected, rel=1e-3)
    assert output.max() == pytest.approx(1.0, abs=1e-12)


def test_power_into_a_resistor():
    """A4: 30 V peak into 16 Ω."""
    _, output, current = driven(FOLLOWER, 30.0, 100.0)
    assert np.mean(output * current) == pytest.approx(28.125, rel=1e-3)


def test_charge_drawn_from_both_rails():
    """A4: 2 Vcc Vp/(π R) is the power from both, so Vp/(π R) the current from each: 35.81 W of 2 × 30 V, 0.5968 A."""
    *_, state = run(FOLLOWER, 30.0, 100.0, 96_000, 40)
    assert state.drawn[0] / (40 / 100.0) == pytest.approx([35.81 / 60.0] * 2, rel=1e-3)


def class_b(peak, supply, resistance):
    """Measures of a loop between ± supply without quiescent current, whose output is a sine of this peak; no charge is recorded."""
    take = synthetic_take(split=True)
    sine = (peak * np.sin(2 * np.pi * 200.0 * np.arange(len(take.signals.drive_voltage)) / take.audio_rate))[:, None]
    rails = {"supply_V": supply, "swing_low_V": -supply, "swing_high_V": supply, "bias_V": 0.0, "quiescent_A": 0.0}
    signals = replace(take.signals, drive_voltage=sine.astype(np.float32), drive_current=(sine / resistance).astype(np.float32))
    frames = replace(take.frames, drawn_high=0.0 * take.frames.drawn_high)
    sheet = replace(take.sheet, loops=(replace(take.sheet.loops[0], **rails),))
    return measure(replace(take, signals=signals, frames=frames, sheet=sheet)).loops[0]


def test_class_b_at_full_swing():
    """A4: what a take says of the power into the load and from the two supplies."""
    loop_ = class_b(30.0, 30.0, 16.0)
    assert (loop_.drive_power_W, loop_.supply_W) == pytest.approx((28.125, 35.81), rel=1e-3)
    worst = class_b(2 * 30.0 / np.pi, 30.0, 16.0)
    assert (worst.supply_W - worst.drive_power_W) / 2 == pytest.approx(5.7, rel=1e-3)


@pytest.mark.parametrize(("peak", "efficiency"), [(22.0, 0.72), (6.0, 0.196)])
def test_class_b_efficiency(peak, efficiency):
    """A4: (π/4) of the peak over the supply."""
    loop_ = class_b(peak, 24.0, 4.0)
    assert loop_.drive_power_W / loop_.supply_W == pytest.approx(efficiency, rel=2e-3)


def test_current_of_a_series_resonance():
    """A6: 8 Ω, 1 mH, 100 µF at 440 Hz and 1 V: 0.1242962 A, leading by 0.1061688 rad; its resonance is 503.292 Hz."""
    series = replace(FOLLOWER, drive_resistance=8.0, drive_inductance=1e-3, elastance=1e4)
    time, output, current = driven(series, 1.0, 440.0, rate=440 * 400, periods=40, settle=40)
    admittance = phasor(time, current, 440.0) / phasor(time, output, 440.0)
    assert abs(admittance) == pytest.approx(0.1242962, rel=1e-4)
    assert np.angle(admittance) == pytest.approx(0.1061688, abs=1e-4)


def test_corner_of_the_gain():
    """A7: GBW 1 MHz at gain 101: −3 dB and −45° at 9.901 kHz."""
    corner = 1e6 / 101
    amplifier = replace(FOLLOWER, gain=101.0, rate=2 * np.pi * 1e6)
    time, output, _ = driven(amplifier, 1e-3, corner, rate=corner * 128)
    response = phasor(time, output, corner) / 1e-3
    assert abs(response) == pytest.approx(101 / np.sqrt(2), rel=1e-3)
    assert np.angle(response) == pytest.approx(-np.pi / 4, abs=1e-3)


@pytest.mark.parametrize(("share", "passes"), [(0.98, True), (1.1, False)])
def test_full_power_bandwidth(share, passes):
    """A7: 0.5 V/µs lets 10 V through up to 7957.75 Hz and no further."""
    frequency = share * 7957.75
    time, output, _ = driven(replace(FOLLOWER, slew=0.5e6), 10.0, frequency, rate=frequency * 256)
    steepest = np.abs(np.diff(output)).max() * frequency * 256
    assert steepest <= 0.5e6 * (1 + 1e-9)
    assert (abs(phasor(time, output, frequency)) > 0.999 * 10) == passes
    if not passes:
        assert steepest == pytest.approx(0.5e6, rel=1e-6)
