"""Every scenario that comes with the package, run from its file for its own duration, ends as its name and its story say.

| scenario              | how it ends                                                                          |
|-----------------------|--------------------------------------------------------------------------------------|
| first_note            | sustained on partial 1, clear of the faces                                           |
| overtones             | sustained on partial 2, clear; without the capacitor on partial 1, against the faces |
| too_close             | on a face within the first second, and buzzing to the end                            |
| too_far               | silent                                                                               |
| too_near              | squeals above hearing; with a resistor across the sense coil it starts               |
| reversed              | silent; with the wires swapped back it starts and meets a face                       |
| from_noise            | as first_note, and without a thump                                                   |
| low_string            | sustained on partial 1, within 10 cents of G1, clear                                 |
| power_chip            | sustained on partial 1, late, clear; without its bypass capacitor silent             |
| two_stages            | sustained on partial 1, clear; with the drive coil the other way round on partial 6  |
| two_strings_one_loop  | the lower one sounds; the other trembles at its neighbour's pitch, 40 dB down or more |
| two_strings_two_loops | both sustained on their own partial 1, clear                                         |

The bands are as wide as the story, not as the run: a force factor off by a tenth passes, a wrong sign or a factor 2 does not.
"""

import pytest

from shipped import ended
from wirebloom.rig import load, shipped_scenarios

STORIES = (
    "first_note",
    "from_noise",
    "low_string",
    "overtones",
    "power_chip",
    "reversed",
    "too_close",
    "too_far",
    "too_near",
    "two_stages",
    "two_strings_one_loop",
    "two_strings_two_loops",
)
G3, C4, G1 = 195.998, 261.626, 48.999  # Hz, ISO 16 (A4 = 440 Hz) in equal temperament
SILENT = 1e-5  # N at the bridge: 80 dB below a note here


def assert_sounds(string, partial=1):
    assert (string.outcome, string.dominant_partial) == ("sustained", partial)
    assert string.start_time_s is not None


def assert_clear(near, least, most):
    assert near.first_touch_s is None
    assert near.buzz == "none"
    assert least < near.clearance_mm < most


def assert_silent(string):
    assert (string.outcome, string.starts, string.start_time_s) == ("dying", False, None)
    assert string.near.first_touch_s is None
    assert string.bridge_force_N < SILENT


def test_every_shipped_scenario_has_its_story_here():
    assert set(STORIES) == set(shipped_scenarios())


@pytest.mark.parametrize("name", STORIES)
def test_the_run_is_whole_and_its_ledger_closes(name):
    """Residual below 2e-3 of the energy stored, drift below 1e-5 of what went through."""
    rig, _ = load(name)
    measures = ended(name).measures
    assert rig.story.strip()
    assert measures.ledger_residual < 2e-3
    assert abs(measures.ledger_drift) < 1e-5


@pytest.mark.parametrize("name", STORIES)
def test_every_string_hangs_free_and_far_from_breaking(name):
    for string in ended(name).sheet.strings:
        assert string.equilibrium == "free"
        assert string.stress_Pa < 0.6 * string.strength_min_Pa


@pytest.mark.parametrize("name", STORIES)
def test_a_small_battery_and_the_coil_bear_it(name):
    """Below 0.1 A from the supply, below 0.5 W in a coil: a 9 V block and a thumb-sized coil (our own bounds)."""
    for loop in ended(name).measures.loops:
        assert loop.supply_A < 0.1
        assert loop.coil_heat_W < 0.5


def test_first_note():
    note = ended("first_note")
    assert_sounds(note.string)
    assert_clear(note.string.near, 0.2, 0.5)
    assert 3.0 < note.string.start_time_s < 7.0
    assert note.string.pitch_Hz == pytest.approx(G3, rel=9e-3)  # 15 cents: the magnets pull it flat by 11


def test_overtones():
    note = ended("overtones")
    assert_sounds(note.string, partial=2)
    assert_clear(note.string.near, 0.15, 0.4)
    assert note.string.pitch_Hz == pytest.approx(2 * G3, rel=6e-3)
    assert note.string.partial_force_N[1] > 10 * note.string.partial_force_N[0]


def test_overtones_without_the_capacitor():
    plain = ended("overtones", 'loops.main.phase={ kind = "none" }').string
    assert (plain.starts, plain.dominant_partial) == (True, 1)
    assert plain.near.first_touch_s is not None


def test_too_close():
    near = ended("too_close").string.near
    assert near.first_touch_s < 1.0
    assert near.clearance_mm == 0.0
    assert near.buzz == "steady"


def test_too_far():
    assert_silent(ended("too_far").string)


def test_too_near():
    note = ended("too_near")
    assert (note.string.outcome, note.string.starts) == ("squeals", False)
    assert (note.loop.squeals, note.loop.squeal_Hz) == (True, None)
    assert note.loop.string_share < 1e-3
    assert note.string.bridge_force_N < 10 * SILENT  # what the thump left, 60 dB below a note


@pytest.mark.parametrize("cure", ["loops.main.amplifier.input_resistance=10 kohm", "heads.drive.position=190 mm"])
def test_too_near_cured(cure):
    awake = ended("too_near", cure)
    assert awake.string.starts is True
    assert not awake.loop.squeals
    assert awake.loop.string_share > 0.5


def test_reversed():
    assert_silent(ended("reversed").string)


def test_reversed_wires_swapped_back():
    awake = ended("reversed", "loops.main.amplifier.polarity=normal").string
    assert awake.starts is True
    assert awake.near.first_touch_s is not None


def test_from_noise():
    _, plan = load("from_noise")
    note = ended("from_noise")
    assert plan.start.kind == "noise"
    assert_sounds(note.string)
    assert_clear(note.string.near, 0.2, 0.5)


def test_from_noise_is_the_first_note_started_otherwise():
    """The same rig, up to title, story and the text of the file: the same end, a little later."""
    rigs = [load(name)[0].model_dump(exclude={"title", "story", "text", "overrides"}) for name in ("first_note", "from_noise")]
    noise, thump = ended("from_noise").string, ended("first_note", "run.duration=12 s").string
    assert rigs[0] == rigs[1]
    assert noise.bridge_force_N == pytest.approx(thump.bridge_force_N, rel=0.02)
    assert 0.0 < noise.start_time_s - thump.start_time_s < 2.0


def test_low_string():
    note = ended("low_string")
    assert_sounds(note.string)
    assert_clear(note.string.near, 0.5, 1.2)
    assert note.string.pitch_Hz == pytest.approx(G1, rel=6e-3)
    assert abs(note.string.cents) < 10.0
    assert note.string.start_time_s > 2 * ended("first_note").string.start_time_s  # "it takes its time"


def test_power_chip():
    note = ended("power_chip")
    assert_sounds(note.string)
    assert_clear(note.string.near, 0.1, 0.4)
    assert 8.0 < note.string.start_time_s < 14.0
    assert note.string.pitch_Hz == pytest.approx(G3, rel=9e-3)
    assert 0.01 < note.loop.supply_A < 0.02  # "the battery lasts": a 9 V block has some hundreds of mAh
    assert note.sheet.loops[0].polarity == "normal"


def test_power_chip_without_its_capacitor():
    assert_silent(ended("power_chip", "loops.main.stages.0.bypass=10 pF", "run.duration=6 s").string)


def test_two_stages():
    note = ended("two_stages")
    assert_sounds(note.string)
    assert_clear(note.string.near, 0.8, 1.4)
    assert 2.0 < note.string.start_time_s < 7.0
    assert note.string.pitch_Hz == pytest.approx(G3, rel=9e-3)
    assert note.sheet.loops[0].polarity == "reversed"  # the amplifier turns the signal over, the coil turns it back


def test_two_stages_with_the_coils_connected_alike():
    """The sixth partial is fed there: 1 and 6 have shape weights of opposite sign under the two heads."""
    whistle = ended("two_stages", "heads.drive.reversed=false").string
    assert_sounds(whistle, partial=6)
    assert whistle.bridge_force_N < 0.3 * ended("two_stages").string.bridge_force_N


def test_two_strings_one_loop():
    west, east = ended("two_strings_one_loop").measures.strings
    assert_sounds(west)
    assert_clear(west.near, 0.3, 0.6)
    assert west.pitch_Hz == pytest.approx(G3, rel=6e-3)
    assert (east.outcome, east.starts) == ("carried", False)
    assert east.bridge_force_N < 1e-2 * west.bridge_force_N  # 40 dB
    assert east.pitch_Hz == pytest.approx(west.pitch_Hz, rel=1e-4)
    assert east.near.clearance_mm > 0.95


def test_two_strings_two_loops():
    west, east = ended("two_strings_two_loops").measures.strings
    for string, tuned in ((west, G3), (east, C4)):
        assert_sounds(string)
        assert string.pitch_Hz == pytest.approx(tuned, rel=9e-3)
    assert_clear(west.near, 0.2, 0.5)
    assert_clear(east.near, 0.4, 0.7)
    assert east.bridge_force_N > 0.3 * west.bridge_force_N


def test_two_loops_leave_the_first_string_as_it_was_alone():
    """West is the first note's rig: with a loop to itself it ends where that one does, given the same time."""
    alone = ended("first_note", "run.duration=14 s").string
    west, _ = ended("two_strings_two_loops").measures.strings
    assert west.bridge_force_N == pytest.approx(alone.bridge_force_N, rel=0.01)
    assert west.pitch_Hz == pytest.approx(alone.pitch_Hz, rel=1e-5)
