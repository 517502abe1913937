"""`wb.audio`: clips, samples and files of a take, a comparison or several takes."""

import numpy as np
import pytest
import soundfile

import wirebloom as wb
from synthetic import Tone, synthetic_take

LOUD, SOFT = synthetic_take((Tone(final=0.4e-3, growth=0.0),)), synthetic_take((Tone(final=0.1e-3, growth=0.0),))


def test_samples_are_in_their_own_unit():
    """The bridge force of one partial, (towards + sideways)/√2 of it, well after the fade in."""
    force, rate = wb.audio.samples(LOUD, "bridge")
    amplitude = 0.4e-3 * LOUD.sheet.strings[0].bridge_N_per_m[0] / np.sqrt(2.0)
    middle = force[rate // 2 : rate]
    assert (rate, force.size) == (48_000, 96_000)
    assert np.sqrt(2.0 * np.mean(middle**2)) == pytest.approx(amplitude, rel=0.03)  # the contact microphone's corner is at 30 Hz


def test_a_clip_by_its_kind():
    clip = wb.audio.clip(LOUD, "bridge")
    assert clip.kind == "bridge"
    assert clip == next(one for one in wb.audio.clips(LOUD) if one.kind == "bridge")
    with pytest.raises(ValueError, match="kind must be one of 'build-up', 'bridge' or 'drive'; instead received 'body'"):
        wb.audio.clip(LOUD, "body")
    with pytest.raises(ValueError, match=r"signal must be one of .*; instead received 'voice'"):
        wb.audio.samples(LOUD, "voice")


def test_a_comparison_a_mapping_and_a_take_are_all_heard():
    takes = {"loud": LOUD, "soft": SOFT}
    heard = wb.audio.clips(wb.compare(**takes))
    assert heard == wb.audio.clips(takes)
    assert {clip.take for clip in heard} == {"loud", "soft"}
    added = {clip.take: clip.level_dB for clip in heard if clip.kind == "bridge"}
    assert added["soft"] - added["loud"] == pytest.approx(20.0 * np.log10(4.0), abs=0.1)


def test_files_share_their_gain(tmp_path):
    written = wb.audio.write(wb.compare(loud=LOUD, soft=SOFT), tmp_path)
    assert {sound.path for sound in written} == set(tmp_path.iterdir())
    loud, soft = (soundfile.read(tmp_path / f"{name}_bridge.wav")[0] for name in ("loud", "soft"))
    assert abs(loud).max() / abs(soft).max() == pytest.approx(4.0, rel=1e-3)


def test_a_body_is_read_from_its_file(tmp_path):
    path = tmp_path / "body.wav"
    soundfile.write(path, np.array([1.0, 0.0, 0.5, 0.0]), 48_000, subtype="FLOAT")
    assert wb.audio.clip(LOUD, "body", body=path).kind == "body"
    with pytest.raises(wb.errors.FileError):
        wb.audio.clips(LOUD, body=tmp_path / "none.wav")


def test_a_report_of_a_take_and_of_a_comparison(tmp_path):
    short = synthetic_take(duration=0.3)
    one = wb.report(short, tmp_path / "one.html").read_text(encoding="utf-8")
    two = wb.report(wb.compare(loud=short, soft=short), tmp_path / "two.html").read_text(encoding="utf-8")
    assert "<h1><bdi>Synthetic</bdi></h1>" in one
    assert "loud beside soft" in two
