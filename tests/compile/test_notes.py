"""What is said of a rig before it runs: only where it matters, with its figure."""

from dataclasses import replace

import numpy as np
import pytest

from consistency.scenario import compiled
from heads import prototype_head
from wirebloom.compile.doubts import doubts, magnets_shift
from wirebloom.compile.model import compile_end
from wirebloom.physics.band import PoleBand


def said(texts, word):
    return [text for text in texts if word in text]


def pulled(millinewton):
    """A sense head that pulls so much at 1 mm, falling off within 0.5 mm, and a drive head that does not pull."""
    curve = "gap='1 mm', factor='14 mN/A', decay_length='0.5 mm'"
    laws = [f"heads.{head}.law={{{curve}, pull='{pull} mN'}}" for head, pull in (("sense", millinewton), ("drive", 0))]
    return compiled(*laws)


def test_a_low_string_sags():
    """g/(32 f²) = 0.19 mm at 40 Hz, a fifth of a gap of 1 mm; 0.008 mm at G3, which nobody sets (derived)."""
    (low,) = said(compiled("strings.one.pitch=40 Hz").sheet.limits, "sags")
    assert "0.19 mm" in low
    assert not said(compiled().sheet.limits, "sags")


@pytest.mark.parametrize(("pitch", "plain", "music"), [("G3", False, False), ("360 Hz", True, False), ("400 Hz", False, True)])
def test_stress_against_two_kinds_of_wire(pitch, plain, music):
    """ρ(2 L f)² = 1667 MPa at 360 Hz: 73 % of 2291 MPa (EN 10270-1 SM), 66 % of 2520 MPa (A228) at 0.38 mm; 400 Hz: 82 % of A228."""
    cautions = compiled(f"strings.one.pitch={pitch}").sheet.cautions
    assert bool(said(cautions, "plain spring wire")) is plain
    assert bool(said(cautions, "of the least strength of its wire")) is music


@pytest.mark.parametrize(("place", "told"), [("0.386 L", "9 mm apart"), ("0.3688 L", "20 mm apart"), ("0.35 L", "")])
def test_close_heads_are_named_with_their_distance(place, told):
    """0.014, 0.0312 and 0.05 of 640 mm: 9, 20 and 32 mm from the sense head at 0.4 L."""
    found = said(compiled(f"heads.drive.position={place}").sheet.limits, "Closer than 30 mm")
    assert len(found) == bool(told)
    if told:
        assert f"Heads sense and drive stand {told}" in found[0]


def test_close_heads_are_named_with_what_they_do():
    """At 20 mm 3.0 % with ferrite and 5.6 % with strong wide magnets (see tests/physics/test_neighbours.py)."""
    (found,) = said(compiled("heads.drive.position=0.36875 L").sheet.limits, "Closer than 30 mm")
    assert "about 3 % (ferrite) to 6 %" in found


def test_distance_counts_across_the_string_too():
    """10 mm along and 16 mm across it: 18.9 mm."""
    beside = ("heads.drive.position=0.384375 L", "heads.drive.offset=8 mm", "heads.sense.offset=-8 mm")
    (found,) = said(compiled(*beside).sheet.limits, "Closer than 30 mm")
    assert "stand 19 mm apart" in found


def poles_with(**facts):
    """The bench's poles with other facts in their tables."""
    return [replace(pole, table=replace(pole.table, **facts)) for pole in compiled().poles]


def test_measured_heads_state_no_band_of_their_own():
    assert not said(compiled().sheet.limits, "are known to about")


def test_the_widest_band_is_told():
    """0.7 to 1.4 and 0.8 to 1.5 in force, 0.6 to 1.9 in pull: −30/+50 % and −40/+90 %."""
    bands = PoleBand((0.7, 1.4), (0.6, 1.7)), PoleBand((0.8, 1.5), (0.65, 1.9))
    poles = [replace(pole, band=band) for pole, band in zip(compiled().poles, bands, strict=True)]
    (found,) = said(doubts(poles, compiled().sheet.strings), "are known to about")
    assert "about -30/+50 %, pulls to -40/+90 %" in found


@pytest.mark.parametrize(("tesla", "told"), [(0.0, False), (1.3, False), (1.6, True)])
def test_saturated_iron_is_told_of_where_its_curve_is_not_known(tesla, told):
    """0 T is what a table says of iron that has a curve (`physics/test_nonlinear`)."""
    head = replace(poles_with(core_field=tesla)[0], head=prototype_head())
    found = said(doubts([head], compiled().sheet.strings), "saturates")
    assert bool(found) is told
    if told:
        assert "Iron of head proto would carry 1.6 T" in found[0]


def test_the_pitch_that_the_magnets_take_away():
    """Two pulls of P exp(−g/d): k = P/d each; −600/ln 2 · k Σ w₁²/(m ω₁²) cent, w₁ = sin πb (derived)."""
    ready = pulled(0), pulled(30)
    assert not said(ready[0].sheet.limits, "cent at small amplitude")
    string, pole = ready[1].sheet.strings[0], ready[1].poles[0]
    stiffness = string.mass_kg * (2 * np.pi * string.frequency_Hz[0, 0]) ** 2
    share = 30e-3 / 0.5e-3 * np.sin(0.4 * np.pi) ** 2 / stiffness
    assert magnets_shift(pole, string) == pytest.approx(600.0 * np.log2(1.0 - share), rel=2e-3)
    (found,) = said(ready[1].sheet.limits, "cent at small amplitude")
    assert float(found.split("by ")[1].split()[0]) == pytest.approx(-600.0 * np.log2(1.0 - share), abs=0.6)


@pytest.mark.parametrize(("most", "told"), [(1.05, False), (1.9, True)])
def test_a_narrow_band_takes_the_doubt_away(most, told):
    """60 mN leave 1.1 to 1.25 times (below): more than a weighed pull may be off, less than one that is only computed."""
    ready = pulled(60)
    known = replace(ready, poles=tuple(replace(pole, band=PoleBand((1.0, 1.0), (1.0, most))) for pole in ready.poles))
    assert bool(said(compile_end(known, 0).sheet.limits, "hangs clear only up to")) is told


def test_law_in_the_square_of_the_current_is_doubted_below_its_gap():
    assert said(compiled("heads.drive.gap=0.6 mm").sheet.limits, "Below 0.7 mm")
    assert not said(compiled().sheet.limits, "Below 0.7 mm")


@pytest.mark.parametrize(("millinewton", "told"), [(30, False), (60, True), (110, False)])
def test_a_string_that_barely_hangs_clear(millinewton, told):
    """A spring k and a pull P exp(u/d) part at P = k d/e, 67 mN and a little more here (see test_poles): 60 mN leave 1.1 to 1.25 times."""
    found = said(pulled(millinewton).sheet.limits, "hangs clear only up to")
    assert bool(found) is told
    if told:
        assert 1.1 < float(found[0].split("up to ")[1].split()[0]) < 1.25


@pytest.mark.parametrize(("millinewton", "told"), [(60, False), (110, True)])
def test_the_motion_of_a_string_on_a_face_is_doubted(millinewton, told):
    """110 mN are beyond the 67 mN at which spring and pull part: latched."""
    assert bool(said(pulled(millinewton).sheet.limits, "lies on a face")) is told
