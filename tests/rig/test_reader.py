"""What a good scenario becomes."""

from pathlib import Path

import pytest

from wirebloom.errors import FileError, ScenarioError
from wirebloom.rig import MeasuredHead, RoundHead, String, load, loads, shipped_scenarios
from wirebloom.rig.starter import STARTER

NAMES = {
    "first_note",
    "overtones",
    "too_close",
    "too_far",
    "reversed",
    "from_noise",
    "low_string",
    "two_strings_one_loop",
    "two_strings_two_loops",
}


def test_si_units(read):
    rig, plan = read()
    string, sense = rig.strings[0], rig.heads[0]
    assert (string.diameter, string.length) == (0.38e-3, 0.64)
    assert string.pitch == pytest.approx(195.9977, rel=1e-6)  # ISO 16
    assert sense.places[0].position == pytest.approx(0.256)
    assert rig.loops[0].amplifier.slew == 5e6
    assert rig.loops[0].output.capacitor == pytest.approx(470e-6)
    assert (plan.duration, plan.rate, plan.audio_rate, plan.seed, plan.start.kind) == (4.0, 96000.0, 48000.0, 1, "switch-on")


def test_defaults_of_a_round_head(read):
    """The magnet sits behind the core, the flange is the face of the winding, the face is that of the core."""
    head = read()[0].heads[0]
    assert isinstance(head, RoundHead)
    assert head.magnets[0].top == 0.010
    assert (head.flange_diameter, head.flange_recess) == (0.0112, 0.0005)
    assert (head.face_radius, head.outer_radius) == (0.0025, 0.0056)


def test_like_copies_the_build_but_not_the_place(read):
    rig, _ = read("heads.drive.coil.turns=300", "heads.sense.reversed=true")
    sense, drive = rig.heads
    assert drive.coil.wire == sense.coil.wire
    assert (sense.coil.turns, drive.coil.turns) == (420, 300)
    assert drive.position == pytest.approx(0.128)
    assert (sense.reversed, drive.reversed) == (True, False)


def test_overrides_address_entries_by_name_and_later_ones_win(read):
    gaps = ("heads.sense.gap=1.2 mm", "heads.sense.gap=1.3 mm", "heads.1.gap=2 mm")
    rig, plan = read(*gaps, "run.seed=7", "strings.pier.damping.support_q=900")
    assert [head.gap for head in rig.heads] == [pytest.approx(1.3e-3), pytest.approx(2e-3)]
    assert (plan.seed, rig.strings[0].damping.support_q) == (7, 900.0)
    assert rig.overrides[0] == "heads.sense.gap=1.2 mm"
    assert rig.text.startswith("format = 1")
    assert "text" not in rig.model_dump()


def test_a_head_under_two_strings(read):
    quay = 'name = "quay"\nmaterial = "stainless"\ndiameter = "0.3 mm"\nlength = "800 mm"\ntension = "40 N"\n'
    second = f'pitch = "G3"\n\n[[strings]]\n{quay}'
    pier = "{ string = 'pier', position = '0.4 L', gap = '1 mm' }"
    places = f"[{pier}, {{ string = 'quay', position = '0.5 L', gap = '1 mm', offset = '3 mm' }}]"
    short = 'string = "pier"\nposition = "0.4 L"\ngap = "1 mm"'
    rig, _ = read("heads.sense.over.quay.gap=2 mm", replace=(('pitch = "G3"\n', second), (short, f"over = {places}")))
    one, other = rig.heads[0].places
    assert (one.position, other.position) == (pytest.approx(0.256), pytest.approx(0.4))
    assert (one.gap, other.gap, other.offset) == (0.001, 0.002, 0.003)


MEASURED = """kind = "measured"
points = [["0.5 mm", "20 mN/A", "4 mN"], ["1 mm", "14 mN/A", "3 mN"], ["2 mm", "7 mN/A", "1.5 mN"]]
resistance = "24 ohm"
inductance = "2.6 mH"
face_diameter = "5 mm"
aperture = "6 mm"
"""


def test_a_measured_head(read):
    rig, _ = read(replace=(('like = "sense"\n', MEASURED),))
    head = rig.heads[1]
    assert isinstance(head, MeasuredHead)
    assert head.points[1].factor == pytest.approx(14e-3)
    assert head.points[2].pull == pytest.approx(1.5e-3)


def test_a_measured_head_needs_one_curve(read):
    with pytest.raises(ScenarioError) as caught:
        read("heads.drive.points=[]", replace=(('like = "sense"\n', MEASURED),))
    assert str(caught.value) == "test.toml: heads[1].points must be given, or law instead of it; instead received neither."


def test_models_are_built_in_python_with_si_floats():
    string = String(name="pier", material="music wire", diameter=0.38e-3, length=0.64, pitch=196.0)
    assert string.partials_to == 10e3
    assert String.model_validate(string.model_dump()) == string


def test_frozen(read):
    with pytest.raises(ValueError, match="frozen"):
        read()[0].strings[0].length = 1.0


def test_shipped_scenarios_load_by_name_and_with_ending():
    assert set(shipped_scenarios()) >= NAMES
    for name in NAMES:
        rig, _ = load(name)
        assert len(rig.story.split()) > 20
        assert load(f"{name}.toml")[0] == rig


def test_a_file_goes_before_a_shipped_name(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("first_note").mkdir()  # results of an earlier run, say
    assert load("first_note")[0].title == "First note"
    Path("first_note.toml").write_text(STARTER, encoding="utf-8")
    assert load("first_note.toml")[0].title == "My first rig"


def test_starter_is_a_scenario_and_so_are_its_examples():
    rig, _ = loads(STARTER, file="my_rig.toml")
    assert rig.title == "My first rig"
    for default in ("partials_to", "noise", "input_resistance"):
        assert f"# {default} = " in STARTER


def test_starter_shows_the_true_defaults():
    """Every key behind a # that has a default is uncommented in turn and changes nothing."""
    plain = loads(STARTER, file="my_rig.toml")
    shown = ["partials_to", "air", "viscoelastic", "thermoelastic", "offset", "reversed", "top", "input_resistance"]
    shown += ["input_capacitance", "coil_capacitance", "noise", "input_offset", "output_resistance", "quiescent_current"]
    for key in [*shown, "ramp", "rate", "audio_rate", "frame"]:
        rig, plan = loads(STARTER.replace(f"# {key} = ", f"{key} = "), file="my_rig.toml")
        assert [rig.model_dump(), plan.model_dump()] == [model.model_dump() for model in plain], key


def test_unknown_scenario():
    with pytest.raises(ScenarioError, match=r"^SCENARIO must be a file, or one of the scenarios") as caught:
        load("frist_note")
    assert str(caught.value).endswith("; instead received 'frist_note'. Perhaps you meant 'first_note'.")


@pytest.mark.parametrize("name", ["a\0b", "x" * 5000, ""])
def test_absurd_names(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises((ScenarioError, FileError), match=r" must be .*; instead received "):
        load(name)


def test_unreadable_files(tmp_path):
    (tmp_path / "latin.toml").write_bytes(b"title = 'caf\xe9'")
    (tmp_path / "large.toml").write_bytes(b"#" * 1_000_001)
    expected = {
        "latin.toml": "latin.toml must be a text in UTF-8; instead received a byte that is not, at 12.",
        "large.toml": "large.toml must be a scenario of at most 1 MB; instead received 1.0 MB.",
    }
    for name, sentence in expected.items():
        with pytest.raises(FileError) as caught:
            load(tmp_path / name)
        assert str(caught.value) == sentence
        assert caught.value.exit_code == 5
    with pytest.raises(FileError, match="must be a file that can be read"):
        load(tmp_path)
