"""Clips and files as a loudness meter of another make reads them: the ebur128 filter of ffmpeg (Debian), on the bytes.

It weighs, gates and interpolates with code of its own; its figures come with one decimal.
"""

import re
import shutil
import subprocess

import pytest

from synthetic import Tone, synthetic_take
from wirebloom.views.audio import write_sounds
from wirebloom.views.clips import BUDGET, clips

pytestmark = [pytest.mark.debian, pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="ffmpeg is missing")]
TENTH = 0.05


def metered(path):
    """Loudness of one channel (LUFS) and true peak (dBTP) of a file."""
    call = ["ffmpeg", "-hide_banner", "-nostats", "-i", str(path), "-af", "ebur128=peak=true:dualmono=false", "-f", "null", "-"]
    said = subprocess.run(call, capture_output=True, text=True, check=True).stderr
    summary = said[said.rindex("Summary:") :]
    return tuple(float(re.search(rf"{key}:\s+(-?[\d.]+)", summary)[1]) for key in ("I", "Peak"))


@pytest.mark.parametrize("budget", [BUDGET, 100_000])
def test_clips(tmp_path, budget):
    take = synthetic_take((Tone(growth=3.0, full=1.5), Tone(partial=5, final=0.1e-3)), duration=3.0)
    for clip in clips({"": take}, budget=budget):
        (tmp_path / "clip").write_bytes(clip.data)
        loud, peak = metered(tmp_path / "clip")
        assert loud == pytest.approx(clip.loudness_LUFS, abs=0.1 + TENTH)
        assert peak == pytest.approx(clip.true_peak_dBTP, abs=0.2 + TENTH)
        assert peak <= -1.0


def test_files(tmp_path):
    for sound in write_sounds({"a": synthetic_take(duration=3.0), "b": synthetic_take((Tone(final=1e-5),))}, tmp_path):
        loud, peak = metered(sound.path)
        assert loud == pytest.approx(sound.loudness_LUFS, abs=0.1 + TENTH)
        assert peak == pytest.approx(sound.true_peak_dBTP, abs=0.2 + TENTH)
        assert peak <= -1.0
