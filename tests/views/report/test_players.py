"""Players hold the very bytes of their clips, and say what was done to them."""

from base64 import b64decode

import pytest

from synthetic import Tone, synthetic_take
from wirebloom.views.clips import Clip, clips
from wirebloom.views.report.players import benches, facts


@pytest.fixture(scope="module")
def takes():
    return {
        "loud": synthetic_take((Tone(growth=0.0),), duration=1.0),
        "soft": synthetic_take((Tone(final=0.2e-3, growth=0.0),), duration=1.0),
    }


def test_the_bytes_are_those_of_the_clip(takes):
    found = clips(takes)
    players = [player for bench in benches(found) for player in bench.players]
    for clip, player in zip(found, players, strict=True):
        head, data = player.source.split(",", 1)
        assert head == f"data:{clip.mime};base64"
        assert b64decode(data, validate=True) == clip.data


def test_takes_stand_side_by_side_and_say_how_much_softer_they_are(takes):
    bridge = next(bench for bench in benches(clips(takes)) if bench.title.startswith("Bridge"))
    assert [player.take for player in bridge.players] == ["loud", "soft"]
    loud, soft = (", ".join(player.facts) for player in bridge.players)
    assert "0.0 dB added" in loud
    assert "6.0 dB added" in soft  # half the amplitude: 20 log10(2) = 6.02 dB
    assert loud.split(", ")[2] == soft.split(", ")[2]


def test_to_one_take_alone_nothing_is_added(takes):
    for bench in benches(clips({"loud": takes["loud"]})):
        assert "added" not in ", ".join(bench.players[0].facts)


def test_facts_have_units_and_true_minus_signs():
    clip = Clip("pier", "drive", "Drive", "audio/mpeg", b"", 2.5, -18.04, -1.26, -3.0, "")
    assert list(facts(clip, True)) == ["2.5 s", "−3.0 dB added", "−18.0 LUFS", "true peak −1.3 dBTP", "MP3"]
    silent = clip._replace(loudness_LUFS=None, true_peak_dBTP=None, level_dB=0.0, mime="audio/flac")
    assert list(facts(silent, False)) == ["2.5 s", "loudness not defined", "FLAC, lossless"]
