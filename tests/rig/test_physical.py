"""What no workshop could build is told apart from wrong words."""

import pytest

from wirebloom.errors import RigError

IMPOSSIBLE = {
    "strings.pier.pitch=A6": "strings[0].pitch must be at most 465.31 Hz, where the stress reaches 2785 N/mm² and the string breaks; "
    "instead received 1.76 kHz, with a stress of 39840 N/mm².",
    "heads.sense.position=1.2 L": "heads[0].position must be between the ends of string 'pier' (0 mm and 640 mm); instead received 768 mm.",
    "heads.sense.position=0 mm": "heads[0].position must be between the ends of string 'pier' (0 mm and 640 mm); instead received 0 m.",
    "strings.pier.dampers=[{position='0.7 m', resistance='1 kg/s'}]": "strings[0].dampers[0].position must be between the ends of "
    "string 'pier' (0 mm and 640 mm); instead received 700 mm.",
    "heads.sense.position=137 mm": "heads[1].position must be at least 11.2 mm, their radii together, from head 'sense' under string "
    "'pier'; "
    "instead received 128 mm, which is 9 mm away.",
    "heads.sense.coil.turns=2000": "heads[0].coil.turns must be at most 1974, which is all that fits of 112.5 um enamelled wire into "
    "2.8 mm by 8 mm; instead received 2000.",
    "heads.sense.coil.inner_diameter=4 mm": "heads[0].coil must be clear of core; instead received parts that share 500 um by 8 mm.",
    "heads.sense.magnets.0.top=8 mm": "heads[0].magnets[0] must be clear of core; instead received parts that share 2.5 mm by 2 mm.",
    "heads.sense.flange_recess=2 mm": "heads[0].flange_recess must be at most coil.top (500 um), as the winding lies under it; "
    "instead received 2 mm.",
    "strings.pier.magnetism={susceptibility=50, reversible=500}": "strings[0].magnetism.reversible must be at most susceptibility (50); "
    "instead received 500.",
    "strings.pier.material=bronze": "heads[0].string must be the name of a string of magnetic steel; instead received 'pier', which "
    "is of bronze. "
    "A head can neither drive nor hear it: bronze is not magnetic, so the field has nothing to pull at.",
    "loops.main.amplifier.supply=3 V": "loops[0].amplifier.supply must be more than 3 V (twice the headroom, as a single supply rests "
    "at half); "
    "instead received 3 V.",
}


@pytest.mark.parametrize(("override", "expected"), IMPOSSIBLE.items())
def test_impossible_rig(read, override, expected):
    with pytest.raises(RigError) as caught:
        read(override)
    assert str(caught.value) == f"test.toml: {expected}"
    assert caught.value.exit_code == 4


def test_string_that_breaks_by_its_tension(read):
    with pytest.raises(RigError) as caught:
        read(replace=(('pitch = "G3"', 'tension = "400 N"'),))
    assert str(caught.value) == (
        "test.toml: strings[0].tension must be at most 315.81 N, where the stress reaches 2785 N/mm² and the string breaks; "
        "instead received 400 N, with a stress of 3527 N/mm²."
    )


def test_string_too_stiff_for_its_pitch(read):
    with pytest.raises(RigError) as caught:
        read("strings.pier.diameter=3 mm", "strings.pier.length=150 mm", "strings.pier.pitch=60 Hz", "heads=[]", "loops=[]")
    assert str(caught.value) == (
        "test.toml: strings[0].pitch must be more than 268.22 Hz, which its stiffness alone gives; instead received 60 Hz (no tension "
        "left)."
    )


def test_single_supply_without_capacitor(read):
    with pytest.raises(RigError) as caught:
        read(replace=(('[loops.output]\ncapacitor = "470 uF"\n', ""),))
    assert str(caught.value) == (
        "test.toml: loops[0].output.capacitor must be given with a single supply, whose output rests at 4.5 V and would send a direct "
        "current through the coil; instead received nothing."
    )


def test_a_series_capacitor_blocks_direct_current_too(read):
    phase = '[loops.phase]\nkind = "series capacitor"\ncapacitor = "10 uF"\n'
    rig, _ = read(replace=(('[loops.output]\ncapacitor = "470 uF"\n', phase),))
    assert rig.loops[0].output.capacitor is None


def test_split_supply_needs_no_capacitor(read):
    rig, _ = read("loops.main.amplifier.supply_kind=split", replace=(('[loops.output]\ncapacitor = "470 uF"\n', ""),))
    assert rig.loops[0].amplifier.supply == 9.0


def test_heads_beside_one_another_under_one_string(read):
    """Two 11.2 mm heads 9 mm apart along the string collide, unless they also stand 8 mm apart across it (hypotenuse 12 mm)."""
    rig, _ = read("heads.sense.position=137 mm", "heads.sense.offset=-4 mm", "heads.drive.offset=4 mm")
    assert [head.offset for head in rig.heads] == [-0.004, 0.004]


def test_a_string_close_to_breaking_is_not_refused(read):
    rig, _ = read("strings.pier.pitch=460 Hz")
    assert rig.strings[0].pitch == 460.0


def test_parts_that_share_a_face_are_allowed(read):
    rig, _ = read("heads.sense.coil.inner_diameter=5 mm")
    assert rig.heads[0].magnets[0].top == rig.heads[0].core.length
