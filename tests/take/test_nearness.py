"""Clearance over all heads, first touch, broad class of buzz. Expected figures are derived from the synthetic motion."""

from dataclasses import replace

import numpy as np
import pytest

from synthetic import FRAME, Tone, synthetic_take
from wirebloom.take.measures import measure

STEADY = Tone(growth=0.0)


def pressed_in(take, rows, share=0.2):
    """The same take with contact at the second head in these rows' frames, over the first share of each frame."""
    most, force = take.frames.most_contact.copy(), take.signals.contact_force.copy()
    length = round(FRAME * take.audio_rate)
    for row in rows:
        most[row, 1] = 0.1
        force[(row - 1) * length : (row - 1) * length + round(share * length), 1] = 0.1
    return replace(take, frames=replace(take.frames, most_contact=most), signals=replace(take.signals, contact_force=force))


def test_clearance_is_the_least_over_all_heads():
    """Partial 1 swings by sin(0.4 π) of its amplitude over the sense head, sin(0.286 π) over the drive head."""
    near = measure(synthetic_take([STEADY])).near
    assert near.clearance_mm == pytest.approx(1.0 - 0.4 * np.sin(0.4 * np.pi), abs=1e-4)
    assert near.head == "sense 1"
    assert (near.first_touch_s, near.buzz) == (None, "none")


def test_each_string_has_its_own():
    measures = measure(synthetic_take([STEADY, Tone(growth=0.0, final=0.1e-3, string=1)], strings=2))
    assert measures.strings[1].near.clearance_mm == pytest.approx(1.0 - 0.1 * np.sin(0.4 * np.pi), abs=1e-4)
    assert measures.strings[1].near.head == "sense 2"
    assert measures.near == measures.strings[0].near


def test_first_touch_to_a_sample():
    near = measure(pressed_in(synthetic_take([STEADY]), [120])).near
    assert near.first_touch_s == pytest.approx(1.19, abs=1.0 / 48000.0)
    assert near.clearance_mm == 0.0


def test_a_touch_inside_its_frame():
    take = pressed_in(synthetic_take([STEADY]), [120])
    force = np.roll(take.signals.contact_force, 300, axis=0)
    near = measure(replace(take, signals=replace(take.signals, contact_force=force))).near
    assert near.first_touch_s == pytest.approx(1.19 + 300 / 48000.0, abs=1e-9)


def test_inside_the_face_counts_as_a_touch():
    take = synthetic_take([STEADY])
    gap = take.frames.least_gap.copy()
    gap[150, 1] = -1e-6
    near = measure(replace(take, frames=replace(take.frames, least_gap=gap))).near
    assert (near.clearance_mm, near.head) == (0.0, "drive 1")
    assert near.first_touch_s == pytest.approx(1.49, abs=1e-9)


@pytest.mark.parametrize(
    ("rows", "share", "buzz"),
    [([50], 0.2, "early"), ([150], 0.2, "occasional"), (range(101, 145), 0.2, "occasional"), (range(101, 201), 0.2, "steady"),
     (range(101, 201), 1.0, "resting")],
)  # fmt: skip
def test_broad_class_of_buzz(rows, share, buzz):
    assert measure(pressed_in(synthetic_take([STEADY]), rows, share)).near.buzz == buzz


def test_touch_of_the_synthetic_take():
    near = measure(synthetic_take([STEADY], touch=1.5)).near
    assert (near.clearance_mm, near.head, near.buzz) == (0.0, "sense 1", "occasional")
    assert near.first_touch_s == pytest.approx(1.5, abs=1.0 / 48000.0)
