"""Words on noise and hum."""

from dataclasses import replace

from synthetic import Tone, synthetic_take
from take.test_noise import NOTE, take_of
from wirebloom.take.measures import measure
from wirebloom.take.noise import SignalToHum
from wirebloom.views import noise_rows
from wirebloom.views.noise_rows import noise_rows as rows


def idle(take, **changes):
    figures = {"idle_noise_V": 5.85e-3, "idle_hum_V": 2.81, "idle_A": 18e-3} | changes
    return replace(take, sheet=replace(take.sheet, loops=tuple(replace(loop, **figures) for loop in take.sheet.loops)))


def told(take):
    return dict(rows(take, measure(take)))


def test_a_take_made_without_says_nothing() -> None:
    assert told(synthetic_take([Tone()])) == {}


def test_idle_drive_in_words() -> None:
    quiet = told(idle(synthetic_take([Tone()]), idle_hum_V=0.0))
    assert quiet == {"loop 1 at idle": "strings silent: 5.85 mV of noise at the output, 18 mA in the drive (rms)"}


def test_lost_gain_is_told() -> None:
    take = synthetic_take([Tone()])
    (some,), (most,) = told(idle(take, gain_left=0.683)).values(), told(idle(take, gain_left=0.043)).values()
    assert some.endswith("18 mA in the drive (rms); beyond what it can swing: 68 % of the gain is left to a note that begins")
    assert most.endswith("4.3 % of the gain is left to a note that begins, which may never start")


def test_hum_under_a_note() -> None:
    (said,) = told(take_of((NOTE, 1.0), (50.0, 0.01), (150.0, 0.005))).values()
    assert said == (
        "39 dB below the note at the bridge, 49 dB below it as the ear weighs it (A); lines of the mains under partials of the note "
        "count with it (1)"
    )


def test_bounds_and_hidden_lines_are_said() -> None:
    said = noise_rows._below(SignalToHum(41.2, -3.3, True, 2))
    assert said == (
        "at least 41 dB below the note at the bridge, at least 3.3 dB above it as the ear weighs it (A); "
        "lines of the mains under partials of the note count with it (2)"
    )
