"""A coil in still air: heat given off equals heat made, with the copper's resistance at its own temperature."""

import math

import pytest

from wirebloom.physics.heat import FILM, TOUCH, cooled_surface, current_for, steady_temperature
from wirebloom.rig.enamels import ENAMELS
from wirebloom.rig.wires import resistance_at

ROOM, COLD = 293.15, 24.0


@pytest.mark.parametrize("current", [0.0, 0.05, 0.12])
def test_what_is_made_is_given_off(current):
    conductance = 0.008
    warm = steady_temperature(current, COLD, conductance, ROOM)
    assert current**2 * resistance_at(COLD, warm) == pytest.approx(conductance * (warm - ROOM), rel=1e-12)


def test_rise_of_resistance_as_rotating_machines_are_measured():
    # IEC 60034-1, resistance method for copper: R2/R1 = (235 + t2)/(235 + t1), t in °C (from memory).
    assert resistance_at(COLD, TOUCH) / COLD == pytest.approx((235.0 + 60.0) / (235.0 + 20.0), rel=1e-3)
    assert resistance_at(COLD, ENAMELS["class 155"]) / COLD == pytest.approx((235.0 + 155.0) / (235.0 + 20.0), rel=2.5e-3)


def test_current_and_temperature_are_inverse():
    for film in FILM:
        current = current_for(TOUCH, COLD, film * 4.3e-4, ROOM)
        assert steady_temperature(current, COLD, film * 4.3e-4, ROOM) == pytest.approx(TOUCH, rel=1e-12)


def test_hot_copper_can_outrun_the_air():
    """dP/dT = I² R20 α reaches h A: 0.39 A here."""
    brink = math.sqrt(0.0143 / (COLD * 0.00393))
    assert math.isfinite(steady_temperature(0.999 * brink, COLD, 0.0143, ROOM))
    assert steady_temperature(1.001 * brink, COLD, 0.0143, ROOM) == math.inf


def test_a_warm_room_leaves_no_current():
    assert current_for(TOUCH, COLD, 0.01, TOUCH + 1.0) == 0.0


def test_surface_of_a_solid_coil_is_that_of_a_cylinder():
    assert cooled_surface(0.0, 10e-3, 8e-3) == pytest.approx(math.pi * 10e-3 * 8e-3 + 2 * math.pi * 5e-3**2)
    assert cooled_surface(9e-3, 10e-3, 8e-3) == pytest.approx(math.pi * 10e-3 * 8e-3 + 2 * math.pi * (5e-3**2 - 4.5e-3**2))
