"""Which partials a loop feeds: those for which sense weight × drive weight has the sign of the polarity (derived).

On paper, one partial: the sense coil gives the amplifier +K_s φ_s q̇, the amplifier makes it polarity·G times larger, the
drive circuit turns it into a current through R + iωL, the current pulls with K_d φ_d. The force on the partial is then
c q̇ with c = polarity·G K_s K_d φ_s φ_d Re 1/(R + iωL), and a force c q̇ on a mass m changes its growth rate by c/2m. The
drive coil also answers to the string as a generator and brakes it, whatever the gain: −K_d² φ_d² Re 1/(R + iωL)/2m.

Heads at 0.4 L and 0.286 L: φ_s φ_d > 0 for partials 1, 2 and 4, < 0 for 3 and 6; partial 5 has a node over the sense head.
"""

from dataclasses import replace

import numpy as np
import pytest

from consistency.scenario import compiled
from wirebloom.run import simulate

GAIN = 20.0  # too little for any partial to grow: nothing ever leaves the linear range
SIGN = {1: 1, 2: 1, 3: -1, 4: 1, 5: 0, 6: -1}
SETTLED = 5  # rows before what else the start sets in motion has faded


def without_noise(rig):
    coils, stages = rig.model.coils, rig.model.stages
    quiet = {"coils": coils._replace(noise=0.0 * coils.noise), "stages": stages._replace(noise=0.0 * stages.noise)}
    return replace(rig, model=rig.model._replace(**quiet))


def bench(polarity):
    return without_noise(compiled(f"loops.main.amplifier.gain={GAIN}", f"loops.main.amplifier.polarity={polarity}", "run.duration=1 s"))


def growth_rate(rig, partial):
    """Of one partial started 1 nm from rest, 1/s."""
    rig.state.q[0, 0, partial - 1] += 1e-9
    frames = simulate(rig).frames
    height = np.log(frames.amplitude[SETTLED:, 0, 0, partial - 1])
    return np.polyfit(frames.time[SETTLED:], height, 1)[0]


def on_paper(sheet, partial):
    """Share of the loop (at normal polarity) and of the drive coil's braking in the growth rate, 1/s."""
    (sense, drive), (string,), (loop,), n = sheet.poles, sheet.strings, sheet.loops, partial - 1
    omega = 2.0 * np.pi * string.frequency_Hz[0, n]
    through = (1.0 / (loop.drive_resistance_ohm + 1j * omega * drive.inductance_H)).real / (2.0 * string.mass_kg)
    pushed = drive.force_factor_N_per_A * drive.weight[n]
    return GAIN * sense.force_factor_N_per_A * sense.weight[n] * pushed * through, -(pushed**2) * through


@pytest.fixture(scope="module", params=SIGN)
def partial(request):
    """A partial's number, its growth rates beyond natural decay at either polarity, and the two shares on paper."""
    number = request.param
    rates = {}
    for polarity in ("normal", "reversed"):
        rig = bench(polarity)
        sheet = rig.sheet
        rates[polarity] = growth_rate(rig, number) + sheet.strings[0].decay_per_s[0, number - 1]
    return number, rates, on_paper(sheet, number)


def test_sign_of_the_weights_decides(partial):
    number, rates, _ = partial
    if SIGN[number]:
        assert (np.sign(rates["normal"]), np.sign(rates["reversed"])) == (SIGN[number], -SIGN[number])
    else:
        assert max(rates.values()) < 0.0  # braked either way


def test_loop_feeds_by_as_much_as_on_paper(partial):
    """Half the difference between the polarities; what is left out on paper (crosstalk, the magnets' spring) is below 1 %."""
    _, rates, (fed, _) = partial
    assert (rates["normal"] - rates["reversed"]) / 2.0 == pytest.approx(fed, rel=0.01, abs=5e-4)


def test_drive_coil_brakes_by_as_much_as_on_paper(partial):
    """Mean of the polarities; the fit of a slope of 0.5 /s over a second is good to about 1e-3 /s."""
    _, rates, (_, braked) = partial
    assert (rates["normal"] + rates["reversed"]) / 2.0 == pytest.approx(braked, abs=1.5e-3)


def test_weights_have_the_signs_that_the_places_give():
    """sin(0.4 nπ)·sin(0.286 nπ), by hand; a node is zero to rounding."""
    sense, drive = bench("normal").sheet.poles
    for number, sign in SIGN.items():
        by_hand = np.sin(0.4 * number * np.pi) * np.sin(0.286 * number * np.pi)
        for product in (by_hand, sense.weight[number - 1] * drive.weight[number - 1]):
            assert np.sign(np.round(product, 9)) == sign
