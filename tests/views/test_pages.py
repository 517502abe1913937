"""Pages: what each shows is said in a sentence; a damaged take has those that it can still fill."""

from dataclasses import fields, replace

import pytest

from bands import banded, end, lost, string_end
from driven import driven
from synthetic import Tone, synthetic_take
from wirebloom.take.measures import measure
from wirebloom.views.figures import FIGURES, PLANS, finding, pages
from wirebloom.views.style import save


def without(record, count=0):
    """The same record with so many rows."""
    return replace(record, **{field.name: getattr(record, field.name)[:count] for field in fields(record)})


TAKES = {
    "plain": synthetic_take(),
    "touching": synthetic_take(touch=0.5, strings=2),
    "silent": synthetic_take((), floor=0.0),
    "short": synthetic_take(duration=0.02),
    "growing": synthetic_take((Tone(full=3.0),)),
}
FULL = banded(synthetic_take(duration=1.0))
SOUND, SLOW = {"motion", "spectrogram", "drive", "portrait"}, {"approach", "bloom", "partials", "clearance", "ledger"}
BEGUN = replace(FULL, frames=without(FULL.frames, 1), lost=("amplitude", "least_gap"), band=None)
DAMAGED = {
    "all signals": (SOUND, replace(FULL, signals=without(FULL.signals))),
    "slow records": (SLOW, BEGUN),
    "shape": ({"shape"}, replace(FULL, shape=replace(FULL.shape, time=FULL.shape.time[:0], displacement=FULL.shape.displacement[:0]))),
    "bridge force": ({"spectrogram"}, replace(FULL, lost=("bridge_force",))),
    "drive current": ({"drive", "portrait"}, replace(FULL, lost=("drive_current",))),
    "displacement": ({"motion", "portrait"}, replace(FULL, lost=("displacement",))),
    "supply voltage": (set(), replace(FULL, lost=("supply_voltage",))),
}


def said(take, name):
    """The finding of one page."""
    return finding(name, take, measure(take))


@pytest.mark.parametrize("kind", TAKES)
def test_every_page_says_what_it_shows(kind):
    take = banded(TAKES[kind])
    found = pages(take, measure(take))
    assert [f"{page.name}.png" for page in found] == list(FIGURES)
    for page in found:
        assert page.finding.endswith(".")
        assert 25 < len(page.finding) < 400
        assert page.title == PLANS[page.name].title
        assert "nan" not in page.finding.split()
        assert "None" not in page.finding


def test_nothing_is_drawn_before_it_is_asked_for(monkeypatch):
    take, drawn = synthetic_take(), []
    monkeypatch.setitem(PLANS, "motion", PLANS["motion"]._replace(draw=drawn.append))
    page = next(page for page in pages(take, measure(take)) if page.name == "motion")
    assert drawn == []
    page.draw()
    assert drawn == [take]


@pytest.mark.parametrize("lacking", DAMAGED)
def test_a_damaged_take_has_the_pages_that_it_can_fill(lacking):
    missing, take = DAMAGED[lacking]
    found = pages(take, measure(take))
    assert {page.name for page in found} == set(PLANS) - missing
    for page in found:
        assert page.finding.endswith(".")
        if lacking not in ("bridge force", "supply voltage"):
            assert page.draw().axes


def test_a_rig_without_heads_or_loops_has_no_pages_of_them():
    """What a take holds of poles has no columns then."""
    bare = synthetic_take(duration=0.5)
    sheet = replace(bare.sheet, poles=(), loops=(), coils=())
    poles = {name: getattr(bare.signals, name)[:, :0] for name in ("displacement", "magnetic_force", "contact_force")}
    loops = [field.name for field in fields(bare.signals) if field.name not in (*poles, "bridge_force")]
    signals = replace(bare.signals, **poles, **{name: getattr(bare.signals, name)[:, :0] for name in loops})
    columns = (
        "least_gap",
        "most_contact",
        "drive_work",
        "supplied",
        "noise",
        "drive_heat",
        "sense_heat",
        "drawn_high",
        "drawn_low",
        "output_square",
    )
    frames = replace(bare.frames, **{name: getattr(bare.frames, name)[:, :0] for name in columns})
    take = replace(bare, sheet=sheet, signals=signals, frames=frames)
    found = pages(take, measure(take))
    assert [page.name for page in found] == ["partials", "spectrogram", "ledger", "shape"]
    for page in found:
        assert page.draw().axes


def test_clearance_and_touch_are_told_with_their_head():
    assert said(synthetic_take((Tone(),)), "motion") == "The string stays 0.62 mm clear of head sense 1; its face is the hatched grey band."
    touching = synthetic_take(touch=0.5, strings=2)
    assert said(touching, "motion") == "The strings meet the face of head sense 1 from 0.5 s on; faces are the hatched grey bands."
    assert said(touching, "clearance") == "Head sense 1 is touched first at 0.5 s: red ticks in the face mark every touch."
    assert said(synthetic_take((Tone(),)), "approach") == "Over head sense 1 the motion uses up 0.38 of 1 mm, and leaves 0.62 mm."


def test_the_loudest_partial_is_told_with_the_distance_of_the_next():
    """Eight times the amplitude, half the force per displacement: 12 dB."""
    told = said(synthetic_take(), "partials")
    assert told.startswith("At the end partial 1 of pier 1 is the loudest, ")
    assert told.endswith("partial 2 follows 12 dB below it.")
    assert said(synthetic_take(()), "partials") == "pier 1 is silent in every partial."


def test_the_brightest_line_is_told_with_its_pitch():
    told = said(synthetic_take((Tone(cents=5.0),)), "spectrogram")
    assert f"partial 1, at {196.0 * 2 ** (5 / 1200):.1f} Hz (+5.0 cents from where it is tuned)" in told
    assert told.endswith("at the end 1 of its partials are within 60 dB of it.")


def test_the_drives_phase_is_told():
    assert "the current at partial 1 is 60° ahead of the string's velocity, so that 50 % of it feeds the string there" in said(
        driven(60.0), "portrait"
    )
    assert "100 % of it brakes" in said(driven(180.0, noise=1e-5), "portrait")
    assert said(synthetic_take(()), "portrait").endswith("too little moves to tell how one follows the other.")


def test_the_band_is_told_end_by_end():
    take = synthetic_take()
    told = said(banded(take, end(take, string_end(start_time_s=1.4)), lost(take)), "bloom")
    assert told.startswith("As computed, pier 1 is near full level after 0.79 s; with weak heads it is near full level after 1.4 s; ")
    assert told.endswith("with strong heads it leaves all bounds.")


def test_the_ledger_is_told_in_per_cent():
    steady = (Tone(growth=0.0),)
    stored = synthetic_take(steady).frames.string_energy.sum(axis=1)[-1]
    told = said(synthetic_take(steady, residual=0.003 * stored), "ledger")
    assert told.startswith("All but 0.3 % of the energy stored is accounted for; of what the amplifiers gave, ")
    assert said(synthetic_take(residual=1e-9), "ledger").startswith("More energy is unaccounted for than was stored")
    assert said(synthetic_take(), "ledger").startswith("All of the energy stored is accounted for; ")


def test_the_shape_is_told_in_both_directions():
    assert said(synthetic_take((Tone(),)), "shape").endswith(
        "400 µm off the straight line, towards the heads or away, and does not move sideways."
    )
    assert said(synthetic_take((Tone(side=1),)), "shape").endswith("400 µm sideways.")


def test_names_in_a_sentence_are_short_and_keep_their_direction():
    take = synthetic_take((Tone(),))
    poles = tuple(replace(pole, head="\u05d0\u05d1\u05d2" if pole.role == "sense" else pole.head) for pole in take.sheet.poles)
    turned = replace(take, sheet=replace(take.sheet, poles=poles))
    assert "clear of head \u2068\u05d0\u05d1\u05d2\u2069; its" in said(turned, "motion")  # first strong isolate … pop: UAX #9
    poles = tuple(replace(pole, head="w" * 300) for pole in take.sheet.poles)
    assert len(said(replace(take, sheet=replace(take.sheet, poles=poles)), "motion")) < 150


HOSTILE = (("<b>&\"'$", "_hidden", "\\frac{$", "\u05d0\u05d1 \u202eabc"), ("w" * 300, "\x1b[31m", "\u5f26", "$"))


@pytest.mark.parametrize("texts", HOSTILE)
def test_hostile_names_break_no_page(texts, tmp_path):
    title, string, head, loop = texts
    take = banded(synthetic_take(duration=0.3, touch=0.2))
    strings = tuple(replace(one, name=string) for one in take.sheet.strings)
    poles = tuple(replace(one, head=head + one.head, string=string, loop=loop) for one in take.sheet.poles)
    loops = tuple(replace(one, name=loop, drive=(poles[1].head,), sense=(poles[0].head,)) for one in take.sheet.loops)
    coils = tuple(replace(one, loop=loop) for one in take.sheet.coils)
    take = replace(take, sheet=replace(take.sheet, title=title, strings=strings, poles=poles, loops=loops, coils=coils))
    for page in pages(take, measure(take)):
        assert save(page.draw(), tmp_path / "page.png").stat().st_size > 0
        assert page.finding.endswith(".")
        assert len(page.finding) < 500
        assert not set(page.finding) & set("\x1b\n\u202e")
