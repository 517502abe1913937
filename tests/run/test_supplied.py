"""A plain amplifier on a battery: what a run records of its supply, by Ohm's law and by the drive current's own half waves."""

from functools import cache

import numpy as np
import pytest

from consistency.scenario import TEXT
from wirebloom.compile import compile_rig
from wirebloom.rig import loads
from wirebloom.run import simulate
from wirebloom.take.electrics import half_waves
from wirebloom.take.measures import measure
from wirebloom.take.store import load, save

OWN = 'supply = "9 V"\nsupply_kind = "split"\n'
NAMED = 'name = "main"\nsupply = "bench"\noutput = { capacitor = "220 uF" }\n'
BLOCK = '\n[[supplies]]\nname = "bench"\nkind = "battery"\ncells = "alkaline 9 V block"\n'


@cache
def on_a_block():
    """One second and a half of a plucked string, its loop on a fresh 9 V block."""
    text = TEXT.replace(OWN, "").replace('name = "main"\n', NAMED) + BLOCK
    pluck = 'start={ kind = "pluck", position = "0.3 L", height = "0.5 mm" }'
    take = simulate(compile_rig(*loads(text, file="block.toml", overrides=[pluck, "run.duration=1.5 s"])))
    return take, measure(take)


def test_peaks_take_their_share_of_the_voltage():
    """9.5 V less 1.7 Ω times the peak."""
    (found,) = on_a_block()[1].supplies
    assert found.supply_peak_A > 0.1
    assert found.open_supply_V - found.least_supply_V == pytest.approx(1.7 * found.supply_peak_A, rel=0.02)


def test_charge_drawn_is_that_of_the_drive_in_one_direction():
    """Class B: the battery gives what goes out, and nothing while current comes back; the quiescent current besides."""
    take, measures = on_a_block()
    amperes = take.signals.drive_current[-round(take.audio_rate) :, 0].astype(float)
    upper, _ = half_waves(amperes, take.sheet.loops[0].quiescent_A)
    assert measures.supplies[0].supply_A == measures.loops[0].supply_A == pytest.approx(upper, rel=5e-3)


def test_ledger_closes_with_a_supply_that_gives_way():
    assert on_a_block()[1].ledger_residual < 1e-4


def test_it_comes_back_from_its_file(tmp_path):
    take, _ = on_a_block()
    save(take, tmp_path / "take.h5")
    back = load(tmp_path / "take.h5")
    assert back.sheet.supplies == take.sheet.supplies
    assert measure(back).supplies == measure(take).supplies
    assert np.array_equal(back.signals.supply_voltage, take.signals.supply_voltage)
