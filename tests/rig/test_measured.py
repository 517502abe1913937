"""What was measured on a head: whose it is, and what cannot have been."""

import pytest

from wirebloom.errors import RigError, ScenarioError
from wirebloom.rig import load

PULL = "heads.sense.measured={pull='4 mN'}"


def test_a_measured_value_is_not_copied_to_a_head_of_the_same_build():
    """`like` copies what was built, tolerances too; what one of them was found to do is its own."""
    rig, _ = load("first_note", [PULL, "heads.sense.tolerance={gap='0.2 mm'}"])
    sense, drive = rig.heads
    assert sense.measured.pull == pytest.approx(4e-3)
    assert drive.measured is None
    assert sense.tolerance.gap == drive.tolerance.gap == pytest.approx(0.2e-3)


@pytest.mark.parametrize(
    ("changes", "kind", "words"),
    [
        (["heads.sense.measured={}"], ScenarioError, "heads[0].measured.pull must be given"),
        (["heads.sense.measured={pull='4 mN', string='other'}"], ScenarioError, "heads[0].measured.string must be"),
        (
            [PULL, "heads.sense.magnets=[]"],
            RigError,
            "heads[0].measured.pull must be left out of a head without magnets; instead received 0.004",
        ),
    ],
)
def test_what_cannot_have_been_measured_is_refused(changes, kind, words):
    with pytest.raises(kind) as problem:
        load("first_note", changes)
    assert words in str(problem.value)


def test_a_string_that_the_head_does_not_stand_under_is_refused():
    with pytest.raises(ScenarioError, match=r"measured.string must be a string that the head stands under"):
        load("two_strings_two_loops", [f"heads.{_first()}.measured={{pull='4 mN', string='{_other()}'}}"])


def _rig():
    return load("two_strings_two_loops")[0]


def _first():
    return _rig().heads[0].name


def _other():
    head = _rig().heads[0]
    return next(string.name for string in _rig().strings if string.name not in [place.string for place in head.places])
