"""Every class of bad word gets one exact sentence and the exit code of its kind."""

import pytest

from wirebloom.errors import ScenarioError

STRING_KEYS = "name, material, diameter, core_diameter, length, pitch, tension, partials_to, damping, sideways, dampers, magnetism"
TOP_KEYS = "title, story, strings, heads, loops, supplies, couplings, room, format, start, run"

OVERRIDDEN = {
    # out of range
    "strings.pier.diameter=36 mm": "strings[0].diameter must be between 0.05 mm and 3 mm; instead received 36 mm.",
    "strings.pier.pitch=30 kHz": "strings[0].pitch must be between 10 Hz and 5 kHz; instead received 30 kHz.",
    "strings.pier.pitch=C0 - 2000 cent": "strings[0].pitch must be between 10 Hz and 5 kHz; instead received C0 - 2000 cent.",
    "loops.main.amplifier.gain=1e12": "loops[0].amplifier.gain must be between 0.1 and 1e+09; instead received 1000000000000.0.",
    "heads.sense.coil.turns=0": "heads[0].coil.turns must be a whole number between 1 and 100000; instead received 0.",
    # wrong unit, no unit, no number
    "strings.pier.diameter=0.36": "strings[0].diameter must be a length with its unit (m, mm, um or in); instead received 0.36.",
    "strings.pier.diameter='0.36'": "strings[0].diameter must be a length with its unit (m, mm, um or in); instead received 0.36.",
    "strings.pier.diameter=0.36 V": "strings[0].diameter must be a length in m, mm, um or in; instead received 0.36 V.",
    "strings.pier.length=0,64 m": "strings[0].length must be a length in m, mm, um or in; instead received 0,64 m. Perhaps you meant "
    "0.64 m.",
    "strings.pier.length=64 CM": "strings[0].length must be a length in m, mm, um or in; instead received 64 CM. Perhaps you meant 64 cm.",
    "strings.pier.length=long": "strings[0].length must be a length with its unit (m, mm, um or in); instead received long.",
    "strings.pier.length=": "strings[0].length must be a length with its unit (m, mm, um or in); instead received an empty text.",
    "heads.drive.gap=nan mm": "heads[1].gap must be a length with its unit (m, mm, um or in); instead received nan mm.",
    "heads.drive.gap=inf": "heads[1].gap must be a length with its unit (m, mm, um or in); instead received inf.",
    "loops.main.amplifier.gain=nan": "loops[0].amplifier.gain must be a plain number between 0.1 and 1e+09; instead received nan.",
    "loops.main.amplifier.gain=200 V": "loops[0].amplifier.gain must be a plain number between 0.1 and 1e+09; instead received 200 V.",
    "room.temperature=20": "room.temperature must be a temperature with its unit (degC or K); instead received 20.",
    "heads.sense.coil.turns=4.5": "heads[0].coil.turns must be a whole number between 1 and 100000; instead received 4.5.",
    "heads.sense.reversed=yes": "heads[0].reversed must be true or false; instead received yes.",
    "title=3": "title must be a text in quotes; instead received 3.",
    "heads=3": "heads must be a list; instead received 3.",
    "heads=[3]": "heads[0] must be a table; instead received 3.",
    "heads.sense.core=false": "heads[0].core must be a table; instead received false.",
    "strings=[]": "strings must be a list of at least 1; instead received an empty list.",
    "loops.main.drive=[]": "loops[0].drive must be a list of at least one head; instead received an empty list.",
    # notes and wires
    "strings.pier.pitch=H2": "strings[0].pitch must be a note such as G2, C#3 or Bb1, or a frequency in Hz; instead received H2.",
    "heads.sense.coil.wire=AWG 99": "heads[0].coil.wire must be a gauge between AWG 25 and AWG 50; instead received AWG 99.",
    "heads.sense.coil.wire=2 mm": "heads[0].coil.wire must be a wire between 0.018 mm and 0.5 mm; instead received 2 mm.",
    "heads.sense.coil.wire=copper": "heads[0].coil.wire must be a wire such as 0.10 mm (bare copper) or AWG 38; instead received copper.",
    # misspelt
    "strings.pier.diamter=1 mm": f"strings[0].diamter must be a key of this table ({STRING_KEYS}); instead received diamter. "
    "Perhaps you meant 'diameter'.",
    "text=hello": f"text must be a key of this table ({TOP_KEYS}); instead received text.",
    "heads.sense.kind=rund": "heads[0].kind must be 'round' or 'measured'; instead received rund. Perhaps you meant 'round'.",
    "start.kind=bow": "start.kind must be 'switch-on', 'noise', 'pluck' or 'tap'; instead received bow.",
    "strings.pier.material=wood": "strings[0].material must be the name of a material ('music wire', 'stainless', 'wound steel', "
    "'wound bronze' or 'bronze'); "
    "instead received wood.",
    "loops.main.sense=['sens']": "loops[0].sense[0] must be the name of a head ('sense' or 'drive'); instead received sens. "
    "Perhaps you meant 'sense'.",
    "heads.sense.string=peer": "heads[0].string must be the name of a string ('pier'); instead received peer. Perhaps you meant 'pier'.",
    "heads.drive.like=sens": "heads[1].like must be the name of another head ('sense'); instead received 'sens'. Perhaps you meant "
    "'sense'.",
    "heads.drive.like=drive": "heads[1].like must be the name of another head ('sense'); instead received 'drive'.",
    "heads.sense.like=drive": "heads[0].like must be a head that is not like this one in turn; instead received 'drive'.",
    "format=2": "format must be 1; instead received 2.",
    "strings.pier.name=a.b": "strings[0].name must be a name of letters, digits, spaces, - and _ (40 at most); instead received a.b.",
    # contradictions
    "strings.pier.tension=20 N": "strings[0].pitch must be left out when tension is given; instead received both.",
    "strings.pier.core_diameter=0.2 mm": "strings[0].core_diameter must be left out for the material 'music wire', which is not wound; "
    "instead received 200 um.",
    "strings.pier.material=wound steel": "strings[0].core_diameter must be given for the material 'wound steel'; instead received nothing.",
    "strings.pier.core_diameter=1 mm": "strings[0].core_diameter must be less than diameter (380 um); instead received 1 mm.",
    "strings.pier.damping.t60=[[2, '8 s'], [1, '9 s']]": "strings[0].damping.t60 must be a list in rising order of partial, each once; "
    "instead received the list [2, 1].",
    "strings.pier.damping.t60=[[2]]": "strings[0].damping.t60[0][1] must be given; instead received nothing.",
    "strings.pier.dampers=[{position='9 mm', resistance='1 kg/s', start='2 s', end='1 s'}]": "strings[0].dampers[0].end must be "
    "later than start (2 s); instead received 1 s.",
    "heads.sense.over=[{string='pier', position='9 mm', gap='1 mm'}]": "heads[0].string must be left out when over is given; "
    "instead received both.",
    "heads.sense.coil.bottom=0.5 mm": "heads[0].coil.bottom must be more than top (500 um); instead received 500 um.",
    "heads.sense.coil.outer_diameter=5.6 mm": "heads[0].coil.outer_diameter must be more than inner_diameter (5.6 mm); "
    "instead received 5.6 mm.",
    "heads.sense.magnets.0.inner_diameter=1 mm": "heads[0].magnets[0].inner_diameter must be left out for a disc; instead received 1 mm.",
    "heads.sense.magnets.0.shape=ring": "heads[0].magnets[0].inner_diameter must be given for a ring, less than diameter "
    "(8 mm); instead received nothing.",
    "heads.sense.magnets.0={shape='ring', diameter='8 mm', inner_diameter='9 mm', thickness='3 mm', grade='Y30'}": "heads[0].magnets[0]."
    "inner_diameter must be given for a ring, less than diameter (8 mm); instead received 9 mm.",
    "heads.sense.over=[{string='pier', position='0.4 L', gap='1 mm'}]": "heads[0].string must be left out when over is given; "
    "instead received both.",
    "loops.main.drive=['sense']": "loops[0].drive[0] must be a head that is not in use yet; "
    "instead received 'sense', which is loops[0].sense[0] already.",
    "loops.main.phase.kind=series capacitor": 'loops[0].phase.capacitor must be given when kind is "series capacitor"; instead '
    "received nothing.",
    "loops.main.phase.frequency=100 Hz": 'loops[0].phase.frequency must be left out when kind is "none"; instead received 100.0.',
    "couplings=[{heads=['sense', 'drive']}]": "couplings[0].mutual must be given, or capacitance in its place; instead received nothing.",
    "couplings=[{heads=['sense', 'drive'], capacitance='0 F'}]": "couplings[0].capacitance must be between 0.001 pF and 1 uF; "
    "instead received 0 F.",
    "couplings=[{heads=['sense', 'sense'], mutual='1 mH'}]": "couplings[0].heads must be the names of two heads; "
    "instead received the list [sense, sense].",
    "couplings=[{heads=['sense', 'drive'], mutual='1 mH'}, {heads=['drive', 'sense'], mutual='1 mH'}]": "couplings[1].heads must be "
    "a pair that is not there yet; instead received drive and sense.",
    "start.kind=pluck": 'start.height must be given when kind is "pluck"; instead received nothing.',
    "start.height=1 mm": 'start.height must be left out when kind is "switch-on"; instead received 0.001.',
    "run.rate=100 kHz": "run.audio_rate must be a whole fraction of rate (100000 Hz); instead received 48000 Hz.",
    "run.frame=3.3333 ms": "run.frame must be a whole number of samples at audio_rate; instead received 0.0033333 s (159.998 samples).",
    "strings.pier.partials_to=20 kHz": "strings[0].partials_to must be at most 15.279 kHz at a run.rate of 96 kHz; instead received "
    "20 kHz.",
}


@pytest.mark.parametrize(("override", "expected"), OVERRIDDEN.items())
def test_value(read, override, expected):
    with pytest.raises(ScenarioError) as caught:
        read(override)
    assert str(caught.value) == f"test.toml: {expected}"
    assert caught.value.exit_code == 3


PATHS = {
    "nothing": "--set must be of the form heads.sense.gap=1.2 mm; instead received 'nothing'.",
    "heads..gap=1 mm": "--set must be of the form heads.sense.gap=1.2 mm; instead received 'heads..gap=1 mm'.",
    "heads.sence.gap=1 mm": "--set 'heads.sence.gap=1 mm' must be a path with one of the names 'sense' or 'drive'; "
    "instead received 'sence'. Perhaps you meant 'sense'.",
    "strings.pier.length.x=3": "--set 'strings.pier.length.x=3' must be a path that ends at a value; "
    "instead received 'x' after the value 640 mm.",
}


@pytest.mark.parametrize(("override", "expected"), PATHS.items())
def test_override_path(read, override, expected):
    with pytest.raises(ScenarioError) as caught:
        read(override)
    assert str(caught.value) == expected


EDITED = {
    'diameter = "0.38 mm"|diameter = 0.38 mm': "line 7 must be valid TOML; instead received diameter = 0.38 mm. "
    'Perhaps you meant diameter = "0.38 mm".',
    'length = "640 mm"|length = "640 mm"\nlength = "1 m"': "line 9 must be a key or table that is not there yet; "
    'instead received a second length = "1 m".',
    "[loops.output]|[loops.amplifier]": "line 39 must be a key or table that is not there yet; instead received a second "
    "[loops.amplifier].",
    'length = "640 mm"\n|': "strings[0].length must be given, a length between 50 mm and 5 m; instead received nothing.",
    'pitch = "G3"\n|': "strings[0].pitch must be given, or tension instead of it; instead received neither.",
    'gap = "1 mm"\nlike|like': "heads[1].gap must be given, a length between 0.05 mm and 12 mm (or over, for several strings); "
    "instead received nothing.",
    'like = "sense"\n|': "heads[1].coil must be given; instead received nothing.",
    "format = 1\n|": "format must be given, 1; instead received nothing.",
    'title = "Test rig"\n|': "title must be given, a text in quotes; instead received nothing.",
    'name = "drive"|name = "sense"': "heads[1].name must be a name of its own; instead received 'sense', which heads[0] has already.",
    "gain = 200|gaim = 200": "loops[0].amplifier.gaim must be a key of this table (gain, gain_bandwidth, slew, supply, supply_kind, "
    "headroom, "
    "polarity, input_resistance, input_capacitance, coil_capacitance, noise, input_offset, output_resistance, level_resistor, "
    "quiescent_current); instead received gaim. Perhaps you meant 'gain'.",
    "[loops.output]|[loops.output": "line 39 must be valid TOML; instead received [loops.output.",
}


@pytest.mark.parametrize(("edit", "expected"), EDITED.items())
def test_text(read, edit, expected):
    with pytest.raises(ScenarioError) as caught:
        read(replace=(tuple(edit.split("|")),))
    assert str(caught.value) == f"test.toml: {expected}"


@pytest.mark.parametrize("text", ["a=" + "[" * 3000, "a=" + "1" * 5000, "a=1e999999\n]", "\x00", "\ufeff", "format=" + "9" * 400])
def test_absurd_text_is_one_sentence(read, text):
    with pytest.raises(ScenarioError, match=r"^test.toml.* must be .*; instead received .*\.$"):
        read(text=text)


def test_two_strings_need_a_place_to_start(read):
    quay = 'name = "quay"\nmaterial = "music wire"\ndiameter = "0.3 mm"\nlength = "1 m"\npitch = "G3"\n'
    second = f'[[strings]]\n{quay}\n[[heads]]\nname = "sense"'
    with pytest.raises(ScenarioError) as caught:
        read("start.kind=pluck", "start.height=1 mm", "start.position=0.1 m", replace=(('[[heads]]\nname = "sense"', second),))
    assert str(caught.value) == "test.toml: start.string must be given when there are several strings; instead received nothing."
