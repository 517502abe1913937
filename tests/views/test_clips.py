"""Clips for a page, measured on their bytes: loudness, true peak, ends, length, size; and what is said of them."""

import io
from dataclasses import replace

import numpy as np
import pytest
import soundfile

from synthetic import Tone, synthetic_take
from views.responses import resonance
from wirebloom.views import body as bodies
from wirebloom.views.clips import BUDGET, clips
from wirebloom.views.filtering import RATE
from wirebloom.views.loudness import loudness, true_peak_dB

KINDS = ["build-up", "bridge", "drive"]


def played(clip):
    """What a player makes of the bytes."""
    sound, rate = soundfile.read(io.BytesIO(clip.data), dtype="float64")
    assert (rate, sound.ndim) == (RATE, 1)
    return sound


def by_name(found):
    return {(clip.take, clip.kind): clip for clip in found}


def steady(final=0.4e-3, **more):
    return synthetic_take((Tone(final=final, growth=0.0),), **more)


def silent():
    return synthetic_take((Tone(final=0.0),), duration=1.0)


@pytest.fixture
def wooden(tmp_path):
    soundfile.write(tmp_path / "box.wav", resonance(RATE), RATE, subtype="FLOAT")
    return bodies.read_body(tmp_path / "box.wav")


@pytest.mark.parametrize("budget", [BUDGET, 100_000])
def test_what_is_stated_is_what_is_in_the_bytes(budget):
    """FLAC and, where there is little room, MP3."""
    found = clips({"": synthetic_take(duration=3.0)}, budget=budget)
    assert [clip.kind for clip in found] == KINDS
    for clip in found:
        sound = played(clip)
        assert clip.loudness_LUFS == pytest.approx(loudness(sound))
        assert clip.true_peak_dBTP == pytest.approx(true_peak_dB(sound))
        assert clip.seconds == pytest.approx(sound.size / RATE, abs=0.05)


@pytest.mark.parametrize("budget", [BUDGET, 250_000])
def test_compared_takes_are_equally_loud_and_the_difference_is_told(budget):
    """A quarter of the motion is 12.04 dB less at the bridge and in the sense coil; the drive of both is cut at the same swing."""
    found = by_name(clips({"wide": steady(4e-4), "narrow": steady(1e-4)}, budget=budget))
    assert {clip.mime for clip in found.values()} == ({"audio/flac"} if budget == BUDGET else {"audio/flac", "audio/mpeg"})
    for kind in KINDS:
        wide, narrow = found["wide", kind], found["narrow", kind]
        assert loudness(played(wide)) == pytest.approx(-18.0, abs=0.1)
        assert loudness(played(narrow)) == pytest.approx(loudness(played(wide)), abs=0.1)
        assert narrow.level_dB - wide.level_dB == pytest.approx(12.04 if kind != "drive" else 1.0, abs=0.05 if kind != "drive" else 1.0)
        assert min(wide.level_dB, narrow.level_dB) == 0.0


@pytest.mark.parametrize("take", [steady(5e-3), steady(1e-5), synthetic_take(touch=0.5), synthetic_take((Tone(growth=-2.0, full=0.0),))])
@pytest.mark.parametrize("budget", [BUDGET, 60_000])
def test_no_peak_above_minus_1_dBTP_and_no_click_at_either_end(take, budget):
    """A note at full level from its first sample on: after 1 ms the fade of 20 ms has let through 0.6 %; coding smears a little of it."""
    for clip in clips({"": take}, budget=budget):
        sound = played(clip)
        assert true_peak_dB(sound) <= -1.0
        ends = max(np.abs(sound[:48]).max(), np.abs(sound[-48:]).max())
        assert ends < (0.01 if clip.mime == "audio/flac" else 0.05) * np.abs(sound).max()


@pytest.mark.parametrize("budget", [BUDGET, 300_000, 100_000, 40_000])
def test_all_together_stay_within_the_budget(budget):
    found = clips({"a": synthetic_take(duration=3.0), "b": synthetic_take(duration=2.0)}, budget=budget)
    assert len(found) == 6
    assert sum(len(clip.data) for clip in found) <= budget
    assert all(clip.seconds > 0.15 for clip in found)


def test_next_to_no_room_means_no_clips():
    assert clips({"": synthetic_take(duration=1.0)}, budget=3000) == []


def test_cut_clips_are_still_equally_loud():
    """A decaying note and a steady one: what is left of either has another loudness than the whole."""
    takes = {"dies": synthetic_take((Tone(growth=0.0, drift=-20.0),), duration=3.0), "stands": steady(duration=2.0)}
    found = clips(takes, budget=50_000, only=("bridge",))
    assert max(clip.seconds for clip in found) < 1.5
    assert [clip.note for clip in found] == ["0 s to 1.15 s of the take: its loudest stretch."] * 2
    assert np.ptp([clip.loudness_LUFS for clip in found]) < 0.1


@pytest.mark.parametrize("budget", [BUDGET, 100_000])
def test_same_take_same_bytes(budget):
    first, second = (clips({"": synthetic_take(duration=2.0)}, budget=budget) for _ in range(2))
    assert first == second


def test_takes_do_not_depend_on_their_order():
    takes = {"a": steady(4e-4), "b": steady(1e-4)}
    assert by_name(clips(takes)) == by_name(clips(dict(reversed(takes.items()))))


def test_a_build_up_ends_a_second_after_the_level_stands():
    take = synthetic_take((Tone(growth=5.0, full=4.0),), duration=8.0)
    found = by_name(clips({"": take}))
    assert found["", "build-up"].seconds == pytest.approx(5.0, abs=0.1)
    assert found["", "build-up"].note == "0 s to 5 s of the take: from its start until a second after its level stands."
    assert (found["", "bridge"].seconds, found["", "bridge"].note) == (8.0, "0 s to 8 s of the take: all of it.")


def test_only_some_kinds():
    assert [clip.kind for clip in clips({"": steady()}, only=("bridge",))] == ["bridge"]


def test_a_body_is_one_more_clip_and_the_bridge_stays(wooden):
    plain, found = (by_name(clips({"": steady(duration=1.0)}, body=body)) for body in (None, wooden))
    assert [kind for _, kind in found] == [*KINDS, "body"]
    assert found["", "bridge"] == plain["", "bridge"]
    assert found["", "body"].data != found["", "bridge"].data
    assert found["", "body"].note.endswith("Through box.wav, which answers 0.042 ms late.")


def test_silence_is_silence_in_every_byte():
    """No dither, no loudness, and no gain that would bring up rounding errors."""
    for clip in clips({"": silent()}):
        assert not played(clip).any()
        assert (clip.loudness_LUFS, clip.true_peak_dBTP, clip.level_dB) == (None, None, 0.0)
        assert clip.note.endswith("Nothing sounds.")


def test_a_silent_take_beside_one_that_sounds():
    found = by_name(clips({"sounds": steady(duration=1.0), "silent": silent()}))
    assert found["sounds", "bridge"].loudness_LUFS == pytest.approx(-18.0, abs=0.1)
    assert not played(found["silent", "bridge"]).any()


def test_a_faint_take_is_not_brought_up_and_says_so():
    """1 nm of motion, 100 dB below the other: its clip is quieter, and names that."""
    found = by_name(clips({"sounds": steady(duration=1.0), "faint": steady(1e-9, duration=1.0)}))
    assert found["faint", "bridge"].note.endswith("It stays quieter than the rest: there is too little of it to be brought up.")
    assert np.abs(played(found["faint", "bridge"])).max() < 1e-3


def test_a_take_without_a_loop_has_a_bridge_only():
    take = steady(duration=1.0)
    signals = {name: values[:, :0] for name, values in vars(take.signals).items() if name != "bridge_force"}
    bare = replace(take, sheet=replace(take.sheet, poles=(), loops=()), signals=replace(take.signals, **signals))
    assert [clip.kind for clip in clips({"": bare})] == ["bridge"]
    assert len(clips({"bare": bare, "whole": take})) == 4


def test_what_is_left_of_a_damaged_take_is_played():
    """One signal missing, another with a sample that is no number: the rest stands."""
    take = steady(duration=1.0)
    torn = take.signals.bridge_force.copy()
    torn[1000] = np.nan
    signals = replace(take.signals, sense_voltage=take.signals.sense_voltage[:0], bridge_force=torn)
    found = clips({"": replace(take, signals=signals)})
    assert [clip.kind for clip in found] == ["bridge", "drive"]
    assert np.isfinite(played(found[0])).all()


@pytest.mark.parametrize("frames", [0, 1, 3])
def test_a_take_cut_short_at_once(frames):
    found = clips({"": synthetic_take(duration=0.01 * frames)})
    assert len(found) == (3 if frames else 0)
    assert all(clip.loudness_LUFS is None for clip in found)
