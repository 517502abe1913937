"""A take of known partials: what the lines in the pictures say of level and pitch is what went in.

Derived: levels are 20 log10 of bridge force per displacement times amplitude, pitches are those of the cosines. Wanted: 0.1 dB, 0.1 cent.
"""

import numpy as np
import pytest

from synthetic import Tone, frequency, synthetic_take
from wirebloom.views.partials import partial_lines, partial_rows, row_height
from wirebloom.views.spectrogram import spectrogram
from wirebloom.views.tracks import WINDOW, lobe, tracks

DETUNED = (3.7, -12.3, 0.4, 25.0, -40.0)


def tones(side=0, drift=0.0):
    """Five partials off the free ones, some steady from the start, the third 20 dB above its neighbours."""
    sizes = (0.4e-3, 0.02e-3, 0.1e-3, 0.005e-3, 0.01e-3)
    return [
        Tone(partial=n + 1, final=size, growth=0.0, cents=off, side=side, drift=drift)
        for n, (size, off) in enumerate(zip(sizes, DETUNED, strict=True))
    ]


def expected(take, tone, time):
    """Level of a tone at each time, dB re 1 N."""
    return 20.0 * np.log10(take.sheet.strings[0].bridge_N_per_m[tone.partial - 1] * tone.amplitude(time))


@pytest.fixture(scope="module", params=[0, 1], ids=["towards", "sideways"])
def known(request):
    put_in = tones(request.param)
    return synthetic_take(put_in), put_in


def test_pitches_read_from_the_drawn_tracks(known):
    take, put_in = known
    lines = spectrogram(take).get_lines()
    for tone in put_in:
        drawn = np.asarray(lines[tone.partial - 1].get_ydata())
        cents = 1200.0 * np.log2(drawn / frequency(take.sheet, tone))
        assert np.abs(cents).max() < 0.1
    assert lines[0].get_label() == "partial 1"


def test_levels_of_the_tracks(known):
    take, put_in = known
    found = tracks(take, 0)
    for tone in put_in:
        np.testing.assert_allclose(found.level[:, tone.partial - 1], expected(take, tone, found.time), atol=0.1)


def test_levels_read_from_the_drawn_lines(known):
    take, put_in = known
    lines = {line.get_label(): line for line in partial_lines(take).get_lines()}
    rows = partial_rows(take).get_lines()
    top = max(float(expected(take, tone, np.zeros(1))[0]) for tone in put_in)
    for tone in put_in:
        drawn = lines[f"partial {tone.partial}"]
        np.testing.assert_allclose(drawn.get_ydata(), expected(take, tone, np.asarray(drawn.get_xdata())), atol=0.1)
        row = np.asarray(rows[tone.partial - 1].get_ydata())
        read = top - 80.0 * (1.0 - (row - (tone.partial - 0.5)) / 0.9)
        np.testing.assert_allclose(read, expected(take, tone, np.zeros(1))[0], atol=0.1)


def test_a_level_that_grows_and_one_that_falls_are_followed():
    growing = synthetic_take([Tone(growth=20.0, full=1.0)])
    found = tracks(growing, 0)
    rising = (found.time > 0.75) & (found.time < 0.95)
    np.testing.assert_allclose(found.level[rising, 0], expected(growing, Tone(growth=20.0, full=1.0), found.time[rising]), atol=0.1)
    falling = synthetic_take(tones(drift=-6.0))
    found = tracks(falling, 0)
    np.testing.assert_allclose(found.level[:, 0], expected(falling, tones(drift=-6.0)[0], found.time), atol=0.1)


def test_partials_that_are_not_there_have_no_track(known):
    found = tracks(known[0], 0)
    assert np.isnan(found.frequency[:, 5:]).all()
    assert np.isnan(tracks(synthetic_take(()), 0).frequency).all()


def test_noise_alone_has_hardly_any_track():
    take = synthetic_take(())
    noise = np.random.default_rng(5).normal(size=take.signals.bridge_force.shape)
    take.signals.bridge_force[:] = noise
    assert np.isfinite(tracks(take, 0).frequency).mean() < 0.1


@pytest.mark.parametrize("duration", [0.01, 0.02, 0.05])
def test_a_take_of_a_few_periods_is_drawn(duration):
    ax = spectrogram(synthetic_take(duration=duration))
    assert ax.get_images()
    assert ax.get_xlim() == (0.0, duration)


def test_the_shades_have_the_level_of_the_lines(known):
    """A line may lie half-way between two bins and then shows 0.86 dB less."""
    take, put_in = known
    image = spectrogram(take).get_images()[0]
    top = max(float(expected(take, tone, np.zeros(1))[0]) for tone in put_in)
    assert top - 0.9 < float(image.get_array().max()) < top + 0.05
    low, high = image.get_extent()[2:]
    place = (np.argmax(image.get_array()[:, 50]) + 0.5) / image.get_array().shape[0] * (high - low) + low
    assert place == pytest.approx(frequency(take.sheet, put_in[0]), abs=12.0)


def test_rows_are_clipped_at_their_feet_and_tops():
    np.testing.assert_allclose(row_height(4, np.array([-200.0, -80.0, -40.0, 0.0, 3.0]), 0.0), [4.5, 4.5, 4.95, 5.4, 5.4])


def test_twenty_rows_each_say_where_they_arrive():
    take = synthetic_take(tones())
    ax = partial_rows(take)
    shown = take.sheet.strings[0].bridge_N_per_m.size
    assert len(ax.get_lines()) == len(ax.texts) == min(20, shown)
    level = float(expected(take, tones()[0], np.zeros(1))[0])
    assert ax.texts[0].get_text() == f"1: {level:.0f}".replace("-", "−")
    assert ax.texts[-1].get_text().startswith(f"{shown}: < −")


def test_the_lobe_is_the_windows_own_transform():
    """Against a plain sum over the window: what a line between two bins shows in one of them."""
    count = 4096
    phase = 2.0 * np.pi * (np.arange(count) + 0.5) / count
    window = WINDOW[0] - WINDOW[1] * np.cos(phase) + WINDOW[2] * np.cos(2.0 * phase)
    for off in (0.0, 0.2, 0.5, 1.0):
        plain = abs(np.sum(window * np.exp(1j * phase * off))) / window.sum()
        assert float(lobe(np.array(off))) == pytest.approx(plain, rel=1e-6)
