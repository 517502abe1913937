"""What is drawn into an animation, read back from the artists and from the pictures in the file."""

import json
import shutil
import subprocess
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image, ImageSequence

from synthetic import GAP, LENGTH, RESISTANCE, SWING, Tone, synthetic_take
from wirebloom.errors import FileError
from wirebloom.views import animation
from wirebloom.views.animation import animate, write_film
from wirebloom.views.film import film
from wirebloom.views.motion_files import lengths
from wirebloom.views.orbit import orbit
from wirebloom.views.stage import make_stage, move
from wirebloom.views.style import stroke

WIDE = Tone(growth=0.0)
ROUND = (Tone(growth=0.0), Tone(growth=0.0, side=1, final=0.02e-3, cents=-0.5))
SMALL = Tone(growth=0.0, final=2e-9)


def staged(tones=(WIDE,), take=None, **asked):
    take = take or synthetic_take(tones)
    shown = film(take, **({"at": 0.5} | asked))
    return take, shown, make_stage(take, shown)


def axes(made):
    return made.figure.axes


def per_inch(ax):
    """How much one inch is of what stands along x and y, m."""
    box = ax.get_window_extent()
    return np.ptp(ax.get_xlim()) / box.width, np.ptp(ax.get_ylim()) / box.height


@pytest.mark.parametrize("tones", [(WIDE,), (SMALL,), (Tone(growth=0.0, final=1.4e-3),)])
def test_heights_are_larger_than_lengths_by_what_is_said(tones):
    _, _, made = staged(tones)
    wide, tall = per_inch(axes(made)[0])
    assert wide / tall == pytest.approx(made.exaggeration, rel=1e-6)
    assert float(f"{made.exaggeration:.0e}") == made.exaggeration, "one figure"
    said = made.figure.texts[1].get_text()
    assert f"heights {made.exaggeration:,.0f} × larger than lengths".replace(",", " ") in said
    assert "one period (5.1 ms) from 0.500 s on, 390 × slower" in said


def test_heads_stand_at_their_places_with_their_faces_a_gap_below():
    take, _, made = staged()
    blocks = axes(made)[0].patches
    assert [block.get_x() + 0.5 * block.get_width() for block in blocks] == pytest.approx([pole.position_m for pole in take.sheet.poles])
    assert [block.get_width() for block in blocks] == pytest.approx([2.0 * pole.face_radius_m for pole in take.sheet.poles])
    assert [block.get_y() + block.get_height() for block in blocks] == pytest.approx([-GAP] * 2)
    assert {text.get_text() for text in axes(made)[0].texts} == {"sense 1", "drive 1"}


def test_towards_the_heads_is_down_and_less_high_above_the_face():
    """Displacement towards the head is positive: the curve goes down by it, the point comes nearer to the face at 0."""
    take, shown, made = staged()
    lowest = int(shown.orbit[:, 0].argmax())
    move(made, shown, lowest)
    np.testing.assert_allclose(made.moving["string"].get_ydata(), -shown.shapes[lowest, 0])
    assert made.moving["point"].get_ydata()[0] == pytest.approx(GAP - 0.4e-3 * take.sheet.poles[1].weight[0], abs=2e-6)
    assert 0.0 in [round(patch.get_y() + patch.get_height(), 9) for patch in axes(made)[1].patches]
    assert axes(made)[1].get_ylim()[0] < 0.0 < GAP < axes(made)[1].get_ylim()[1]


def test_everything_moves_to_the_same_moment():
    _, shown, made = staged(ROUND)
    for picture in (0, 7, 31):
        move(made, shown, picture)
        moment = shown.moments[picture]
        assert made.moving["mark"].get_xdata() == [moment, moment]
        assert made.moving["now"].get_xydata()[0] == pytest.approx([moment, np.interp(moment, shown.trace_s, shown.trace)])
        assert made.moving["point"].get_xydata()[0] == pytest.approx(made.points[picture])
        assert made.moving["tail"].get_xydata()[-1] == pytest.approx(made.points[picture], abs=2e-6)
        assert made.moving["over"].get_ydata()[0] == pytest.approx(-shown.orbit[picture, 0], abs=2e-6)


def test_the_tail_follows_the_point():
    """It ends at the point and lies where that was a fifth of a period ago: with the wrong sign it would lead."""
    _, shown, made = staged(ROUND)
    move(made, shown, 25)
    was = made.points[25 - round(0.2 * shown.moments.size)]
    assert made.moving["tail"].get_xydata()[0] == pytest.approx(was, abs=2e-6)


def test_an_orbit_is_to_scale_but_for_what_its_axis_says():
    """A path 15 times as high as wide: five times is the largest round factor that leaves it half as wide as high."""
    for tones, factor in ((ROUND, 5.0), ((WIDE, Tone(growth=0.0, side=1)), 1.0), ((WIDE,), 1.0)):
        take = synthetic_take(tones)
        ax = orbit(take, at=0.5)
        across, up = per_inch(ax)
        assert up / across == pytest.approx(factor, rel=1e-6)
        assert ax.get_xlabel() == ("sideways, mm" if factor == 1.0 else "sideways × 5, mm")
        assert ax.get_ylabel() == "above face, mm"


def test_a_face_lies_beside_the_string_by_its_offset():
    take = synthetic_take((WIDE,))
    aside = replace(take, sheet=replace(take.sheet, poles=tuple(replace(pole, offset_m=3e-3) for pole in take.sheet.poles)))
    flange, core = orbit(aside, at=0.5).patches
    assert (core.get_x(), core.get_x() + core.get_width()) == pytest.approx((-5.5e-3, -0.5e-3))
    assert flange.get_y() + flange.get_height() == pytest.approx(-0.5e-3)


def test_a_swing_too_small_for_the_faces_is_drawn_about_its_rest_and_says_where_they_are():
    take = synthetic_take((SMALL,))
    rest = np.zeros((2, 12))
    rest[0, 0] = 2e-5
    lying = replace(take, sheet=replace(take.sheet, strings=(replace(take.sheet.strings[0], rest_m=rest),)))
    down = lying.signals.displacement + 2e-5 * np.array([pole.weight[0] for pole in take.sheet.poles])[:, None] * np.array([1.0, 0.0])
    lying = replace(lying, signals=replace(lying.signals, displacement=down.astype(np.float32)))
    _, _, made = staged(take=lying)
    shape, ring, _ = axes(made)
    assert not shape.patches
    assert not ring.patches
    assert any("the nearest face is 1 mm below" in text.get_text() for text in shape.texts)
    assert (shape.get_ylabel(), ring.get_ylabel()) == ("up from its rest, nm", "up from its rest, nm")
    assert max(abs(limit) for limit in shape.get_ylim()) < 1e-8
    assert np.abs(made.curves[:, 0]).max() == pytest.approx(2e-9, rel=0.02)


def test_sideways_motion_is_dashed_and_only_there_if_it_is():
    for tones, there in ((ROUND, True), ((WIDE,), False)):
        _, _, made = staged(tones)
        assert made.moving["sideways"].get_linestyle() == "--"
        assert (len(made.moving["sideways"].get_xdata()) > 0) is there
        assert ("dashed: sideways" in axes(made)[0].get_title(loc="left")) is there


def test_what_the_amplifier_can_push_is_drawn_with_the_drive():
    bound = SWING / RESISTANCE
    _, _, made = staged()
    drawn = {round(float(line.get_ydata()[0]), 9) for line in axes(made)[2].get_lines() if len(line.get_ydata()) == 2}
    assert {round(bound, 9), round(-bound, 9)} <= drawn
    _, _, quiet = staged((SMALL,), take=synthetic_take((SMALL,), gain=1.0))
    assert max(axes(quiet)[2].get_ylim()) < 0.1 * bound, "a small current is not drawn as a line along zero"


def test_every_axis_has_its_unit_and_hostile_names_stay_text():
    take = synthetic_take((WIDE,))
    name = "<b>$x_1$ \u202enrut\n" + 300 * "y"
    sheet = replace(
        take.sheet, title=name, strings=(replace(take.sheet.strings[0], name=name),),
        poles=tuple(replace(pole, string=name, head=name) for pole in take.sheet.poles),
    )  # fmt: skip
    _, _, made = staged(take=replace(take, sheet=sheet))
    made.figure.canvas.draw()
    for ax in axes(made):
        assert all(", " in label for label in (ax.get_xlabel(), ax.get_ylabel()))
    assert max(len(text.get_text()) for text in made.figure.texts) < 120
    assert r"\$x_1\$" in made.figure.texts[0].get_text()


@pytest.fixture(scope="module")
def gif(tmp_path_factory):
    take = synthetic_take(ROUND)
    shown = film(take, at=0.5)
    path = tmp_path_factory.mktemp("gif") / "pier.gif"
    write_film(take, shown, path)
    return take, shown, path


def test_a_gif_plays_for_ever_as_slow_as_it_says(gif):
    _, shown, path = gif
    with Image.open(path) as file:
        assert file.n_frames == shown.moments.size
        assert file.info["loop"] == 0
        played = [one.info["duration"] for one in ImageSequence.Iterator(file)]
    assert sum(played) == pytest.approx(1e3 * shown.span_s * shown.slow, abs=5.0)  # ms
    for picture, end in enumerate(np.cumsum(played)):
        assert end == pytest.approx(1e3 * shown.slow * (picture + 1) * shown.span_s / shown.moments.size, abs=5.001)


def test_a_gif_is_small_and_white(gif):
    _, _, path = gif
    assert path.stat().st_size <= 3_000_000
    with Image.open(path) as file:
        for picture in ImageSequence.Iterator(file):
            assert picture.convert("RGB").getpixel((1, 300)) == (255, 255, 255)


def test_the_moving_points_are_where_the_string_is(gif):
    """The dot's middle in the pictures of the file, against where its axis puts the string at that moment."""
    take, shown, path = gif
    made = make_stage(take, shown)
    ring = axes(made)[1]
    light = np.array([int(stroke(1).color[place : place + 2], 16) for place in (1, 3, 5)])
    with Image.open(path) as file:
        for number in (0, 9, 20, 41):
            file.seek(number)
            picture = np.asarray(file.convert("RGB")).astype(int)
            box = ring.get_window_extent()
            height = picture.shape[0]
            part = picture[int(height - box.y1) : int(height - box.y0), int(box.x0) : int(box.x1)]
            rows, columns = np.nonzero(np.abs(part - light).sum(axis=2) < 60)
            x, y = ring.transData.transform(made.points[number])
            assert columns.mean() + int(box.x0) + 0.5 == pytest.approx(x, abs=1.5)
            assert height - (rows.mean() + int(height - box.y1) + 0.5) == pytest.approx(y, abs=1.5)


def test_the_same_take_gives_the_same_bytes(gif, tmp_path):
    take, _, path = gif
    assert animate(take, tmp_path / "again.gif", at=0.5).read_bytes() == path.read_bytes()


def test_the_largest_there_can_be_is_small_enough(tmp_path):
    """Eight periods of a string that buzzes in many partials, both ways: everything in the picture moves."""
    tones = tuple(Tone(partial=n, side=n % 2, growth=0.0, final=0.4e-3 / n, cents=3.0 * n) for n in range(1, 9))
    path = animate(synthetic_take(tones, duration=0.3), tmp_path / "wild.gif", at=0.1, periods=8)
    assert path.stat().st_size <= 3_000_000


def test_pictures_stand_as_long_as_they_should():
    shown = film(synthetic_take((WIDE,)), at=0.5, slow=333.0)
    assert sum(lengths(shown)) == round(100.0 * shown.plays_s)
    assert min(lengths(shown)) >= 2


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("pier.avi", "pier.avi must be a .gif or a .mp4; instead received the ending '.avi'."),
        ("pier", "pier must be a .gif or a .mp4; instead received no ending."),
        (
            "nowhere/pier.gif",
            "nowhere/pier.gif must be a file that can be written; instead received the answer 'No such file or directory'.",
        ),
    ],
)
def test_a_place_that_cannot_be_is_one_sentence(tmp_path, monkeypatch, name, said):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(FileError) as problem:
        animate(synthetic_take((WIDE,), duration=0.1), name)
    assert str(problem.value) == said
    assert list(tmp_path.iterdir()) == []


def test_without_ffmpeg_there_is_no_video(tmp_path, monkeypatch):
    monkeypatch.setattr(animation.shutil, "which", lambda _: None)
    with pytest.raises(FileError, match=r"pier.mp4 must be a .gif where ffmpeg is not installed; instead received a .mp4."):
        animate(synthetic_take((WIDE,), duration=0.1), tmp_path / "pier.mp4")


def test_a_video_that_cannot_be_made_is_one_sentence_and_leaves_nothing(tmp_path, monkeypatch):
    """A coder that writes half a file and gives up, while it is still being fed."""
    coder, made = tmp_path / "bin" / "ffmpeg", tmp_path / "made"
    for folder in (coder.parent, made):
        folder.mkdir()
    coder.write_text('#!/bin/sh\nfor last; do :; done\necho half > "$last"\nexit 1\n')
    coder.chmod(0o755)
    monkeypatch.setenv("PATH", str(coder.parent), prepend=":")
    with pytest.raises(FileError, match="instead received the answer 'ffmpeg could not make it'"):
        animate(synthetic_take((WIDE,), duration=0.1), made / "pier.mp4")
    assert list(made.iterdir()) == []


@pytest.mark.debian
@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="needs ffmpeg")
def test_a_video_has_its_pictures_and_its_pace(tmp_path):
    """ffprobe's word for it: H.264 in the form that every player knows, as slow as it says, at least six seconds long."""
    take = synthetic_take(ROUND)
    shown = film(take, at=0.5, slow=150.0)
    paths = [animate(take, tmp_path / f"{name}.mp4", at=0.5, slow=150.0) for name in ("one", "two")]
    assert paths[0].read_bytes() == paths[1].read_bytes()
    assert paths[0].stat().st_size <= 3_000_000
    words = ["ffprobe", "-v", "error", "-count_frames", "-show_streams", "-of", "json", str(paths[0])]
    told = json.loads(subprocess.run(words, capture_output=True, text=True, check=True).stdout)["streams"][0]
    assert (told["codec_name"], told["pix_fmt"], told["width"], told["height"]) == ("h264", "yuv420p", 880, 550)
    assert int(told["nb_read_frames"]) == 8 * shown.moments.size
    assert float(told["duration"]) == pytest.approx(8.0 * shown.plays_s, abs=0.05)


def test_lengths_stay_true_along_a_string_of_another_length():
    take = synthetic_take((WIDE,))
    _, _, made = staged(take=take)
    assert axes(made)[0].get_xlim() == pytest.approx((-0.02 * LENGTH, 1.02 * LENGTH))
