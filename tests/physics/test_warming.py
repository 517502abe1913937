"""A coil that warms up.

| what                             | against                                                                             |
|----------------------------------|-------------------------------------------------------------------------------------|
| copper at 60 °C                  | 1.1572 times its resistance at 20 °C (NBS Circular 31: 0.00393 per K)               |
| lumped body                      | junction of a thermocouple, Incropera et al., example 5.1 (from memory): 1 s, 5.2 s |
| time constant, end, held current | by hand                                                                             |
| whole course, steady voltage     | the differential equation, by another integrator                                    |
| where a coil runs away           | I² R₂₀ α = G                                                                        |
"""

from math import exp, inf, log, pi, sqrt

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from wirebloom.physics.heat import steady_temperature
from wirebloom.physics.warming import Feed, Lump, heating, rise_after, seconds_to, steady_rise
from wirebloom.rig.wires import resistance_at

ROOM = 293.15
COIL = Lump(resistance=25.0, capacity=0.5, conductance=0.01, room=ROOM)
FEEDS = [Feed(0.1), Feed(0.1, 0.0), Feed(0.1, 100.0, 30.0), Feed(0.3, 5.0, 0.0), Feed(0.4, 0.0, 25.0), Feed(0.3, 150.0)]


def test_copper_at_sixty_degrees():
    hot = 333.15
    assert resistance_at(1.0, hot) == pytest.approx(1.1572, abs=5e-5)
    assert heating(COIL, Feed(0.1), 40.0) / heating(COIL, Feed(0.1), 0.0) == pytest.approx(1.1572, abs=5e-5)
    assert heating(COIL, Feed(0.1, 0.0), 40.0) / heating(COIL, Feed(0.1, 0.0), 0.0) == pytest.approx(1 / 1.1572, rel=5e-5)


def test_junction_of_a_thermocouple():
    """h = 400 W/m²K, c = 400 J/kgK, 8500 kg/m³, Ø 0.706 mm: 1 s; from 25 to 199 °C in gas of 200 °C: 5.2 s. Warmed by so little
    here that copper's rise does not tell: 1e-5 of the 175 K."""
    wide = 0.706e-3
    ball = Lump(1.0, 8500.0 * pi / 6 * wide**3 * 400.0, 400.0 * pi * wide**2, ROOM)
    feed = Feed(sqrt(ball.conductance * 175e-5))
    assert ball.capacity / ball.conductance == pytest.approx(1.0, rel=1e-3)
    assert seconds_to(ball, feed, ROOM + 174e-5) == pytest.approx(5.2, rel=0.01)
    assert rise_after(ball, feed, 1.0) == pytest.approx(175e-5 * (1 - exp(-1)), rel=2e-3)


def test_time_constant_and_end_by_hand():
    """0.1 A: 0.25 W cold; copper's rise takes 0.01 · 25 · 0.00393 = 0.98 mW/K of the 10 mW/K away, so 55.4 s instead of 50 s."""
    left = 0.01 - 0.0009825
    assert steady_rise(COIL, Feed(0.1)) == pytest.approx(0.25 / left) == pytest.approx(27.724, rel=1e-4)
    assert steady_rise(COIL, Feed(0.1)) == pytest.approx(steady_temperature(0.1, 25.0, 0.01, ROOM) - ROOM)
    assert rise_after(COIL, Feed(0.1), 0.5 / left) == pytest.approx(27.724 * (1 - exp(-1)), rel=1e-4)
    assert seconds_to(COIL, Feed(0.1), ROOM + 0.5 * 0.25 / left) == pytest.approx(0.5 / left * log(2))


def test_a_warm_room_counts_in_the_copper():
    warm = COIL._replace(room=313.15)
    assert heating(warm, Feed(0.1), 0.0) == pytest.approx(0.25 * 1.0786)
    assert heating(warm, Feed(0.1, 50.0), 0.0) == pytest.approx(0.25 * 1.0786)


@pytest.mark.parametrize("feed", FEEDS)
def test_course_against_the_differential_equation(feed):
    at = np.array([3.0, 20.0, 60.0, 200.0, 500.0])
    made = solve_ivp(
        lambda _, y: [(heating(COIL, feed, y[0]) - COIL.conductance * y[0]) / COIL.capacity], (0.0, 500.0), [0.0],
        t_eval=at, rtol=1e-10, atol=1e-10,
    ).y[0]  # fmt: skip
    assert [rise_after(COIL, feed, t) for t in at] == pytest.approx(made, rel=3e-5)
    assert [seconds_to(COIL, feed, ROOM + rise) for rise in made[:3]] == pytest.approx(at[:3], rel=3e-5)


@pytest.mark.parametrize("feed", FEEDS)
def test_in_the_end_as_much_is_given_off_as_is_made(feed):
    end = steady_rise(COIL, feed)
    if end < inf:
        assert heating(COIL, feed, end) == pytest.approx(COIL.conductance * end, rel=1e-12)
        assert seconds_to(COIL, feed, ROOM + 1.001 * end) == inf
        assert seconds_to(COIL, feed, ROOM + 0.999 * end) < inf


def test_where_a_held_current_runs_away():
    brink = sqrt(0.01 / (25.0 * 0.00393))
    assert steady_rise(COIL, Feed(0.999 * brink)) < inf
    assert steady_rise(COIL, Feed(1.001 * brink)) == inf
    late = [rise_after(COIL, Feed(1.2 * brink), t) for t in (100.0, 200.0, 1e6)]
    assert late[1] > 2.5 * late[0]
    assert late[2] > 1e100  # a number still
    assert seconds_to(COIL, Feed(1.2 * brink), ROOM + late[0]) == pytest.approx(100.0)


def test_on_the_brink_it_warms_evenly():
    lump = COIL._replace(conductance=0.1**2 * 25.0 * 0.00393)
    assert rise_after(lump, Feed(0.1), 30.0) == pytest.approx(0.25 / 0.5 * 30.0)
    assert seconds_to(lump, Feed(0.1), ROOM + 15.0) == pytest.approx(30.0)


def test_a_steady_voltage_never_runs_away():
    assert steady_rise(COIL, Feed(0.5)) == inf
    assert 250.0 < steady_rise(COIL, Feed(0.5, 0.0)) < steady_rise(COIL, Feed(0.5, 50.0)) < inf


def test_a_large_ballast_holds_the_current():
    for held, almost in ((Feed(0.1), Feed(0.1, 1e7)), (Feed(0.1), Feed(0.1, 0.0, 1e7))):
        assert steady_rise(COIL, almost) == pytest.approx(steady_rise(COIL, held), rel=1e-5)
        assert rise_after(COIL, almost, 40.0) == pytest.approx(rise_after(COIL, held, 40.0), rel=3e-5)


def test_a_coil_like_the_rest_of_its_circuit_gets_most():
    """Of a steady voltage a resistance takes most when it is that of the source, and 4 x/(1 + x)² of that at x times it."""
    cold = heating(COIL, Feed(0.1, 50.0), 0.0)
    matched = (50.0 / 25.0 - 1.0) / 0.00393
    assert cold / heating(COIL, Feed(0.1, 50.0), matched) == pytest.approx(4 * 0.5 / 1.5**2)


def test_nothing_warms_without_a_current():
    for feed in (Feed(0.0), Feed(0.0, 10.0, 5.0)):
        assert steady_rise(COIL, feed) == 0.0
        assert rise_after(COIL, feed, 100.0) == 0.0
        assert seconds_to(COIL, feed, ROOM + 1.0) == inf
        assert seconds_to(COIL, feed, ROOM - 1.0) == 0.0
