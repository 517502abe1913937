"""Amplifiers composed of stages: what the gate takes, what it refuses and in which words, and what the presets stand for."""

import pytest

from rig.conftest import SCENARIO
from wirebloom.errors import RigError, ScenarioError
from wirebloom.rig import Buffer, Link, OpAmp, PowerChip
from wirebloom.rig.presets import PRESETS, preset_values

INVERTING = '{ kind = "op-amp", preset = "general op-amp", topology = "inverting", feedback = "24 kohm" }'
STRAIGHT = '{ kind = "op-amp", preset = "low-noise op-amp", topology = "non-inverting", feedback = "99 kohm", to_ground = "1 kohm" }'
CHIP = '{ kind = "power chip", preset = "small audio power chip", bypass = "10 uF" }'
COUPLING = '{ kind = "coupling", capacitor = "1 uF", resistor = "10 kohm" }'
BUFFER = '{ kind = "buffer", preset = "class-AB buffer" }'
HEAD, _, TAIL = SCENARIO.partition("[loops.amplifier]")
OUTPUT = TAIL[TAIL.index("[loops.output]") :]
BLOCK = '\n[[supplies]]\nname = "block"\nkind = "ideal"\nvoltage = "9 V"\n'


def composed(*stages, supply=BLOCK):
    """The scenario with stages in place of its plain amplifier."""
    return f'{HEAD}supply = "block"\nstages = [{", ".join(stages)}]\n\n{OUTPUT}{supply}'


def with_key(stage, key):
    return f"{stage[:-2]}, {key} }}"


def test_a_row_of_blocks(read):
    """Units arrive as SI, in the order of the file."""
    rig, _ = read(text=composed(STRAIGHT, with_key(COUPLING, "share = 0.5"), CHIP, BUFFER))
    first, link, chip, last = rig.loops[0].stages
    assert (type(first), type(link), type(chip), type(last)) == (OpAmp, Link, PowerChip, Buffer)
    assert (first.feedback, first.to_ground, first.slew) == (99e3, 1e3, 9e6)
    assert (link.capacitor, link.resistor, link.share) == (pytest.approx(1e-6), 1e4, 0.5)
    assert (chip.feedback, chip.inner_resistor, chip.outer_resistor, chip.bypass) == (30e3, 150.0, 1350.0, pytest.approx(1e-5))


def test_a_key_that_is_given_goes_before_the_preset(read):
    rig, _ = read("loops.main.stages.0.slew=2 V/us", text=composed(with_key(INVERTING, 'gain_bandwidth = "1 MHz"')))
    (stage,) = rig.loops[0].stages
    assert (stage.gain_bandwidth, stage.slew, stage.open_gain) == (1e6, 2e6, 2e5)


@pytest.mark.parametrize("name", PRESETS)
def test_presets_are_spreads_about_their_typical_values(name):
    """Least ≤ typical ≤ greatest for every key, each of them one that a block of this kind can have."""
    preset = PRESETS[name]
    own = {"topology": "inverting", "feedback": 1e4} if "op-amp" in preset.kinds else {}
    kinds = {"op-amp": OpAmp, "power chip": PowerChip, "buffer": Buffer}
    for kind in preset.kinds:
        low, typical, high = (
            kinds[kind](kind=kind, **own, **{key: getattr(spread, end) for key, spread in preset.keys.items()})
            for end in ("low", "typical", "high")
        )
        for key in preset.keys:
            assert getattr(low, key) <= getattr(typical, key) <= getattr(high, key), key
        assert kinds[kind](kind=kind, preset=name, **own) == typical.model_copy(update={"preset": name})


def test_a_preset_has_no_values_of_an_unknown_name():
    assert preset_values("my own") == {}


# What no table can hold, in the words for it.
WORDS = {
    (INVERTING.replace('"op-amp"', '"opamp"'),): "stages[0].kind must be 'op-amp', 'power chip', 'buffer' or 'coupling'; instead received "
    "opamp. Perhaps you meant 'op-amp'.",
    (CHIP.replace("small audio", "smal audio"),): "stages[0].preset must be the name of a preset of this kind ('small audio power chip' or "
    "'medium power chip'); instead received smal audio power chip. Perhaps you meant 'small audio power chip'.",
    (BUFFER.replace("class-AB buffer", "medium power chip"),): "stages[0].preset must be the name of a preset of this kind ('class-AB "
    "buffer'); instead received medium power chip.",
    (with_key(INVERTING, 'to_ground = "1 kohm"'),): 'stages[0].to_ground must be left out when topology is "inverting"; instead received '
    "1000 ohm.",
    (STRAIGHT.replace(', to_ground = "1 kohm"', ""),): 'stages[0].to_ground must be given when topology is "non-inverting"; instead '
    "received nothing.",
    (with_key(STRAIGHT, 'input_resistor = "1 kohm"'),): 'stages[0].input_resistor must be left out when topology is "non-inverting"; '
    "instead received 1000 ohm.",
    (INVERTING.replace("24 kohm", "-24 kohm"),): "stages[0].feedback must be between 0.1 ohm and 100 Mohm; instead received -24 kohm.",
    (CHIP.replace("10 uF", "0 uF"),): "stages[0].bypass must be between 10 pF and 1 F; instead received 0 uF.",
    (CHIP, COUPLING.replace("10 kohm", "0 ohm")): "stages[1].resistor must be between 0.1 ohm and 100 Mohm; instead received 0 ohm.",
    ('{ kind = "buffer" }',): "stages[0].gain_bandwidth must be given, a frequency between 1 kHz and 10 GHz; instead received nothing.",
    (with_key(CHIP, 'headroom_upp = "1 V"'),): "stages[0].headroom_upp must be a key of this table",
    (with_key(CHIP, 'levelling = { level = "0 V" }'),): "stages[0].levelling.level must be between 1 mV and 100 V; instead received 0 V.",
    (with_key(CHIP, 'levelling = { level = "1 V" }'),): "stages[0].levelling must be left out of a power chip, whose gain is fixed: it "
    "belongs to an op-amp or a buffer before it; instead received a table.",
}


@pytest.mark.parametrize(("stages", "expected"), WORDS.items())
def test_words_that_make_no_stage(read, stages, expected):
    with pytest.raises(ScenarioError) as caught:
        read(text=composed(*stages))
    assert str(caught.value).startswith(f"test.toml: loops[0].{expected}")


# What reads well and cannot be built.
IMPOSSIBLE = {
    (CHIP, COUPLING): "stages[1].kind must be an op-amp, a power chip or a buffer at the end of the row: nothing else can drive a coil; "
    'instead received "coupling".',
    (with_key(CHIP, 'headroom_down = "4.5 V"'),): "stages[0].headroom_down must be less than 4.5 V, which supply 'block' leaves on either "
    "side of the resting point; instead received 4.5 V.",
    (INVERTING.replace("general", "rail-to-rail"),): "stages[0].highest_supply must be at least 9 V, what supply 'block' has from rail to "
    "rail: such a device would not bear it; instead received 6 V.",
    (with_key(STRAIGHT, "open_gain = 100"),): "stages[0].open_gain must be more than the gain of 100 that its resistors ask for; instead "
    "received 100.",
    (with_key(CHIP, "open_gain = 200"),): "stages[0].open_gain must be more than the gain of 200 that its resistors ask for; instead "
    "received 200.",
    (STRAIGHT, INVERTING): "stages[1].input_resistor must be more than 0 ohm behind another stage, where no coil's resistance sets the "
    "gain; instead received 0 ohm.",
    (STRAIGHT, CHIP): "stages[1] must be behind a coupling: stages[0] rests at 4.5 V and the chip's input at ground; instead received one "
    "that is wired straight to it.",
}


@pytest.mark.parametrize(("stages", "expected"), IMPOSSIBLE.items())
def test_stages_that_cannot_be_built(read, stages, expected):
    with pytest.raises(RigError) as caught:
        read(text=composed(*stages))
    assert str(caught.value) == f"test.toml: loops[0].{expected}"


def test_without_its_bypass_capacitor_a_chip_of_open_gain_200_has_gain_20(read):
    rig, _ = read(text=composed(with_key(CHIP.replace(', bypass = "10 uF"', ""), "open_gain = 200")))
    assert rig.loops[0].stages[0].bypass is None


def test_split_supply_needs_neither_coupling_nor_capacitor(read):
    rig, _ = read(text=composed(STRAIGHT, CHIP.replace("small audio", "medium"), supply=f"{BLOCK}split = true\n").replace(OUTPUT, ""))
    assert rig.loops[0].output.capacitor is None


def test_single_supply_asks_for_a_capacitor(read):
    with pytest.raises(RigError, match=r"^test.toml: loops\[0\].output.capacitor must be given with a single supply, whose output rests"):
        read(text=composed(CHIP).replace(OUTPUT, ""))


# One kind of amplifier, and every key with the one it belongs to.
PLAIN = {
    ("", f'supply = "block"\nstages = [{CHIP}]\n[loops.amplifier]', BLOCK): "stages must be left out where the loop has a plain amplifier; "
    "instead received a list of 1.",
    ("", '[loops.input]\nresistor = "1 kohm"\n\n[loops.amplifier]', ""): "input must be left out where the loop has a plain amplifier: its "
    "own keys say this; instead received a table.",
    ("", 'supply = "block"\n\n[loops.amplifier]', BLOCK): "amplifier.supply must be left out where the loop names its supply; instead "
    "received one that is given.",
    ('supply_kind = "single"\n', "[loops.amplifier]", ""): 'amplifier.supply_kind must be given, "single" or "split", or the loop\'s own '
    "supply named in its place; instead received nothing.",
    ('capacitor = "470 uF"\n', '[loops.output]\nlevel_resistor = "10 ohm"\n\n[loops.amplifier]', ""): "output.level_resistor must be left "
    "out where the loop has a plain amplifier, whose own key it is; instead received one that is given.",
}


@pytest.mark.parametrize(("change", "expected"), PLAIN.items())
def test_a_plain_amplifier_keeps_its_own_keys(read, change, expected):
    gone, put, after = change
    text = SCENARIO.replace(gone, "") if gone else SCENARIO
    text = text.replace("[loops.output]\n", "") if "[loops.output]" in put else text
    with pytest.raises(ScenarioError) as caught:
        read(text=text.replace("[loops.amplifier]", put) + after)
    assert str(caught.value) == f"test.toml: loops[0].{expected}"


def test_a_plain_amplifier_can_name_its_supply(read):
    text = SCENARIO.replace('supply = "9 V"\nsupply_kind = "single"\n', "").replace(
        "[loops.amplifier]", 'supply = "block"\n\n[loops.amplifier]'
    )
    rig, _ = read(text=text + BLOCK)
    assert (rig.loops[0].supply, rig.loops[0].plain.supply) == ("block", None)


def test_a_plain_amplifier_needs_room_in_the_supply_it_names(read):
    text = SCENARIO.replace('supply = "9 V"\nsupply_kind = "single"\n', "").replace(
        "[loops.amplifier]", 'supply = "block"\n\n[loops.amplifier]'
    )
    with pytest.raises(RigError) as caught:
        read("supplies.block.voltage=3 V", text=text + BLOCK)
    assert str(caught.value) == (
        "test.toml: loops[0].amplifier.headroom must be less than 1.5 V, which supply 'block' leaves on either side; instead received "
        "1.5 V."
    )


def test_stages_need_a_supply_by_name(read):
    with pytest.raises(ScenarioError) as caught:
        read(text=composed(CHIP).replace('supply = "block"\n', ""))
    assert str(caught.value) == "test.toml: loops[0].supply must be given with stages, the name of a supply; instead received nothing."


def test_no_part_shifts_ideally(read):
    text = composed(CHIP).replace("[loops.output]", '[loops.phase]\nkind = "ideal lead"\nfrequency = "200 Hz"\n\n[loops.output]')
    with pytest.raises(ScenarioError, match=r'loops\[0\].phase.kind must be "none" or "series capacitor" with stages'):
        read(text=text)
