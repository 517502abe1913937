"""Amplitude and phase of the partials at the end of a frame are the string's whole state, with its sign and its sense of turning."""

from copy import deepcopy

import numpy as np
import pytest

from consistency.scenario import compiled
from wirebloom.kernels.ledger import turned
from wirebloom.kernels.pack import pack
from wirebloom.run import simulate
from wirebloom.run.accounts import Accounts

PLUCK = "start={kind='pluck', position='0.3 L', height='0.3 mm'}"
TURN = 2.0 * np.pi


def row_of(moved, speed):
    """What is booked of a state whose every partial is `moved` (m) from its rest and has a speed of `speed`·ω (m/s)."""
    rig = compiled()
    model, state = rig.model, deepcopy(rig.state)
    live = model.strings.frequency > 0.0
    state.q[:], state.v[:] = turned(
        np.where(live, rig.rest + moved, 0.0), np.where(live, speed * model.strings.frequency, 0.0), model.ahead
    )  # as the loop keeps it, half a step ahead
    accounts = Accounts(model, pack(model), state, rig.rest)
    accounts.open(state)
    columns = accounts.columns()
    return columns["amplitude"][0][live], columns["phase"][0][live], columns["phase"]


@pytest.mark.parametrize(
    ("moved", "speed", "phase"),
    [(1e-4, 0.0, 0.0), (-1e-4, 0.0, np.pi), (0.0, -1e-4, 0.5 * np.pi), (0.0, 1e-4, 1.5 * np.pi), (3e-5, -4e-5, np.arctan2(4.0, 3.0))],
)
def test_it_is_the_angle_of_a_cosine(moved, speed, phase):
    """q = A cos φ and q′ = −ωA sin φ, by definition: a string on its way down from the top is at a quarter of a turn."""
    amplitude, found, _ = row_of(moved, speed)
    assert amplitude == pytest.approx(np.hypot(moved, speed), rel=1e-9)
    assert np.abs(np.exp(1j * found) - np.exp(1j * phase)).max() < 2e-6


def test_it_is_kept_in_single_precision_from_0_to_a_turn():
    _, _, kept = row_of(1e-4, 1e-9)
    assert kept.dtype == np.float32
    assert kept.min() >= 0.0
    assert kept.max() <= np.float32(TURN)


@pytest.fixture(scope="module")
def plucked():
    """Sampled at every step, so that no filter stands between the frames and the signals."""
    rig = compiled(PLUCK, "run.audio_rate=96 kHz")
    return rig, simulate(rig)


def test_the_state_gives_the_motion_that_was_recorded_at_the_heads(plucked):
    """Frame by frame, against the path through the time loop's own record, between the two steps about the frame's end."""
    rig, take = plucked
    count = take.sheet.strings[0].frequency_Hz.shape[-1]
    moved = rig.rest[0, :, :count] + take.frames.amplitude[:, 0, :, :count] * np.cos(take.frames.phase[:, 0, :, :count])
    samples = np.round(take.frames.time[1:-1] * take.audio_rate).astype(int)
    for j, pole in enumerate(take.sheet.poles):
        recorded = take.signals.displacement[:, j, 0]
        middle = 0.5 * (recorded[samples - 1] + recorded[samples])  # records stand at the middle of steps
        np.testing.assert_allclose(moved[1:-1, 0] @ pole.weight, middle, atol=2e-3 * np.abs(recorded).max())


def test_partials_turn_forwards_and_at_their_pace(plucked):
    """Over a frame of 10 ms partial n turns by 2πf_n·10 ms; magnets and stretching shift it by less than ten cents here."""
    _, take = plucked
    phase, height = take.frames.phase[:, 0, 0].astype(float), take.frames.amplitude[:, 0, 0]
    for n in (0, 1, 3):
        due = TURN * take.sheet.strings[0].frequency_Hz[0, n] * 0.01
        found = np.mod(np.diff(phase[:, n]) - due + np.pi, TURN) - np.pi
        assert height[:, n].min() > 1e-6
        assert np.abs(found).max() < due * (2.0 ** (10.0 / 1200.0) - 1.0)


def test_what_they_cost():
    """Four bytes a partial and frame: in a minute of 46 partials, kept as 48, 2.3 MB beside 236 MB."""
    _, _, kept = row_of(1e-4, 0.0)
    assert kept.nbytes == 4 * kept.size
