"""The linear model against closed forms: strings, coils, amplifiers, and the loop of all three on paper."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.by_hand import MASS, Bench, Pole, linear_head, model, network, rest, row
from wirebloom.analysis.linear import Linear, linear_model
from wirebloom.analysis.response import motions, response
from wirebloom.kernels import layout

PAIR = np.diag([1e-3, 1e-3])  # H


def made(bench: Bench, **options: bool) -> Linear:
    built = model(bench)
    return linear_model(built, rest(built), **options)


def loop(gain: float = 100.0, rate: float = 1e9, r_sense: float = 1.0, r_drive: float = 50.0, **stage: float) -> dict:
    """z = (i_s, i_d, v, u): an amplifier that reads a burden of 1 MΩ over the sense coil, and drives the drive coil."""
    burden = 1e6
    voltage = np.array([row(4, z0=-r_sense - burden), row(4, z2=1.0, z1=-r_drive)])
    made = network(np.zeros((0, 4)), voltage, np.array([row(4, z0=-burden)]), np.array([row(4, z1=1.0)]))
    return {"network": made, "stages": ({"gain": gain, "rate": rate} | stage,)}


def heads(sense: float, drive: float, *, reversed_drive: bool = False, twist: float = 0.0) -> tuple[Pole, Pole]:
    return (
        Pole((sense,), circuit=0, flux=linear_head(0.01)),
        Pole((drive,), circuit=1, sign=-1.0 if reversed_drive else 1.0, flux=linear_head(0.02), twist=lambda g, y: -twist * g + 0.0 * y),
    )


def test_partials_alone_are_damped_oscillators() -> None:
    found = motions(made(Bench(pitches=(200.0, 401.0), decays=(3.0, 5.0))))
    assert len(found) == 4
    for motion in found:
        omega, sigma = 2 * np.pi * (200.0, 401.0)[motion.partial], (3.0, 5.0)[motion.partial]
        assert motion.growth_per_s == pytest.approx(-sigma, rel=1e-9)
        assert motion.frequency_Hz == pytest.approx(np.sqrt(omega**2 - sigma**2) / (2 * np.pi), rel=1e-12)
        assert motion.share == pytest.approx(1.0, abs=1e-9)


def test_magnet_lowers_pitch_as_a_spring_of_the_other_sign() -> None:
    """f = f₀ √(1 + k w²/(m ω²)) (derived); k = −20 N/m where W₀ = ½ · 20 · gap²."""
    pole = Pole((0.8,), pull=lambda g, y: 10.0 * g**2 + 0.0 * y)
    towards, sideways = sorted(motions(made(Bench(decays=(0.0,), poles=(pole,)))), key=lambda motion: motion.polarisation)
    assert towards.frequency_Hz == pytest.approx(200.0 * np.sqrt(1 - 20.0 * 0.64 / (MASS * (400 * np.pi) ** 2)), rel=1e-7)
    assert sideways.frequency_Hz == pytest.approx(200.0, rel=1e-9)


def test_sideways_spring_of_a_field_that_falls_to_the_side_stiffens() -> None:
    pole = Pole((0.8,), pull=lambda g, y: 1e-5 - 10.0 * y**2 + 0.0 * g)
    sideways = max(motions(made(Bench(decays=(0.0,), poles=(pole,)))), key=lambda motion: motion.frequency_Hz)
    assert sideways.polarisation == 1
    assert sideways.frequency_Hz == pytest.approx(200.0 * np.sqrt(1 + 20.0 * 0.64 / (MASS * (400 * np.pi) ** 2)), rel=1e-7)


def test_tension_rises_with_a_string_held_aside() -> None:
    """ΔT = (EA/4) k² q²: the mode itself meets 3 ΔT k²/μ, the other polarisation one of it (Kirchhoff-Carrier, derived)."""
    built = model(Bench(decays=(0.0,), stretch=5e3))
    q = rest(built)
    q[0, 0, 0] = 2e-4
    k2 = (np.pi / 0.65) ** 2
    rise = 5e3 * k2 * 4e-8 * k2 / 6e-4
    towards, sideways = sorted(motions(linear_model(built, q)), key=lambda motion: motion.polarisation)
    assert (2 * np.pi * towards.frequency_Hz) ** 2 == pytest.approx((400 * np.pi) ** 2 + 3 * rise, rel=1e-12)
    assert (2 * np.pi * sideways.frequency_Hz) ** 2 == pytest.approx((400 * np.pi) ** 2 + rise, rel=1e-12)


def test_series_rlc_leads_as_published() -> None:
    """A6, with ngspice-39: 8 Ω, 1 mH, 100 µF at 440 Hz, 1 V: 0.1242962 A, 0.1061688 rad ahead; z = (x, i, i′, u)."""
    rows = network(
        rate=np.array([row(4, z1=1e4)]),
        voltage=np.array([row(4, z0=-1.0, z1=-8.0), row(4, z2=-8.0)]),
        heard=np.zeros((0, 4)),
        given=np.zeros((0, 4)),
    )
    found = response(made(Bench(inductance=PAIR, network=rows), strings=False), np.array([440.0]), "current", "emf")[0]
    assert abs(found[0, 0]) == pytest.approx(0.1242962, abs=5e-8)
    assert np.angle(found[0, 0]) == pytest.approx(0.1061688, abs=5e-8)
    assert found[0, 1] == found[1, 0] == 0.0


def test_mutual_inductance_links_circuits() -> None:
    """Flux M i₁ in an open secondary of large resistance: i₂ = −jω M i₁ / (R₂ + jω L₂)."""
    pair = np.array([[1e-3, 4e-4], [4e-4, 1e-3]])
    rows = network(np.zeros((0, 3)), np.array([row(3, z0=-5.0), row(3, z1=-100.0)]), np.zeros((0, 3)), np.zeros((0, 3)))
    found = response(made(Bench(inductance=pair, network=rows)), np.array([1000.0]), "current", "emf")[0]
    s = 2j * np.pi * 1000.0
    assert found == pytest.approx(np.linalg.inv(s * pair + np.diag([5.0, 100.0])), rel=1e-12)


def test_bandwidth_is_the_product_over_the_gain() -> None:
    """A7: 1 MHz at a gain of 101 leaves 9.901 kHz."""
    linear = made(Bench(inductance=PAIR, **loop(gain=101.0, rate=2 * np.pi * 1e6)), strings=False)
    flat, edge = response(linear, np.array([1e-3, 1e6 / 101]), "output", "input")[:, 0, 0]
    assert abs(flat) == pytest.approx(101.0, rel=1e-9)
    assert abs(edge) == pytest.approx(101.0 / np.sqrt(2), rel=1e-9)
    assert np.angle(edge) == pytest.approx(-np.pi / 4, rel=1e-9)


def test_short_circuited_coil_damps_by_its_force_factor_squared() -> None:
    """σ grows by (K w)²/(2 m R) where R is far above ω L (derived: force −K² u̇/R)."""
    rows = network(np.zeros((0, 3)), np.array([row(3, z0=-5.0), row(3, z1=-5.0)]), np.zeros((0, 3)), np.zeros((0, 3)))
    bench = Bench(poles=heads(0.8, 0.0)[:1], inductance=np.diag([1e-7, 1e-7]), network=rows)
    slowest = min((motion for motion in motions(made(bench)) if motion.partial == 0), key=lambda motion: motion.growth_per_s)
    assert -slowest.growth_per_s == pytest.approx(3.0 + (0.01 * 0.8) ** 2 / (2 * MASS * 5.0), rel=1e-5)


@pytest.mark.parametrize(
    ("reversed_drive", "other_side", "sign"), [(False, False, 1), (True, False, -1), (False, True, -1), (True, True, 1)]
)
def test_loop_grows_by_what_paper_says(reversed_drive: bool, other_side: bool, sign: int) -> None:
    """F = K_d G K_s u̇ / R: σ falls by half of that over m; one side turned, by winding or by the mode's sign, feeds nothing."""
    bench = Bench(poles=heads(0.6, -0.5 if other_side else 0.5, reversed_drive=reversed_drive), inductance=np.diag([1e-6, 1e-6]), **loop())
    fed = next(motion for motion in motions(made(bench)) if motion.polarisation == 0)
    wanted = sign * 100.0 * 0.01 * 0.6 * 0.02 * 0.5 / (50.0 * 2 * MASS)
    back = (0.02 * 0.5) ** 2 / (50.0 * 2 * MASS)
    assert fed.growth_per_s == pytest.approx(wanted - back - 3.0, rel=1e-3)


def test_stray_field_is_an_emf_of_the_other_sign() -> None:
    linear = made(Bench(inductance=PAIR, area=(2e-3, -3e-3), **loop()), strings=False)
    by_field, by_emf = (response(linear, np.array([50.0]), "current", source)[0] for source in ("stray", "emf"))
    assert by_field[:, 0] == pytest.approx(by_emf @ np.array([-2e-3, 3e-3]), rel=1e-12)


def test_force_moves_a_string_by_its_compliance_and_shows_at_the_bridge() -> None:
    linear = made(Bench(decays=(0.0,), poles=(Pole((0.8,)),)))
    still = np.array([0.0])
    moved, heard = response(linear, still, "displacement", "force")[0], response(linear, still, "bridge", "force")[0]
    assert moved == pytest.approx(np.eye(2) * 0.64 / (MASS * (400 * np.pi) ** 2), rel=1e-12)
    assert heard == pytest.approx(500.0 * moved / 0.8, rel=1e-12)


def test_shorted_turn_takes_its_share_at_high_frequencies() -> None:
    """λ = L i + L_k (i + i_k) − …: inductance L at first, L − L_k where the turn keeps all flux out; the string sees i + κ i_k."""
    cores = layout.Cores(np.array([0]), np.array([0]), np.array([[3e-4, 1e-4]]), np.array([[0.3, 5.0]]), np.array([[0.2, 0.1]]))
    rows = network(np.zeros((0, 3)), np.array([row(3), row(3, z1=-1.0)]), np.zeros((0, 3)), np.zeros((0, 3)))
    linear = made(Bench(inductance=PAIR, network=rows, cores=cores._replace(under=np.zeros(0, dtype=np.int64))), strings=False)
    hertz = np.array([1.0, 1e6])
    s = 2j * np.pi * hertz
    low, high = 1.0 / (s * response(linear, hertz, "current", "emf")[:, 0, 0])
    assert low.real == pytest.approx(1e-3, rel=1e-4)
    assert high.real == pytest.approx(1e-3 - 4e-4, rel=1e-4)


def test_strings_see_eddy_currents_of_their_cores() -> None:
    """With a current forced through the coil the force falls from K i to K (1 − κ₁ − κ₂) i at high frequencies."""
    cores = layout.Cores(np.array([0]), np.array([0]), np.array([[3e-4, 1e-4]]), np.array([[0.3, 5.0]]), np.array([[0.2, 0.1]]))
    rows = network(np.zeros((0, 3)), np.array([row(3, z0=-1e9), row(3, z1=-1.0)]), np.zeros((0, 3)), np.zeros((0, 3)))
    linear = made(Bench(poles=heads(0.8, 0.0)[:1], inductance=PAIR, network=rows, cores=cores))
    hertz = np.array([1.0, 1e6])
    moved = response(linear, hertz, "displacement", "emf")[:, 0, 0] * 1e9  # per ampere
    compliance = response(linear, hertz, "displacement", "force")[:, 0, 0]
    low, high = np.abs(moved / compliance)
    assert low == pytest.approx(0.01, rel=1e-3)
    assert high == pytest.approx(0.01 * 0.7, rel=1e-3)


def test_held_strings_leave_the_electronics_alone() -> None:
    bench = Bench(poles=heads(0.6, 0.5), inductance=PAIR, **loop())
    linear = made(bench, strings=False)
    assert {label.kind for label in linear.labels} == {"flux", "stage"}
    assert all(motion.string is None for motion in motions(linear))


def test_damper_at_work_brakes_and_one_lifted_does_not() -> None:
    felt = layout.Dampers(np.array([0]), np.array([[0.7]]), np.array([0.49 / MASS]), np.array([2e-3]), np.array([[0, 10]]))
    built = model(Bench(dampers=felt))
    on, off = (motions(linear_model(built, rest(built), moment=moment))[0].growth_per_s for moment in (5e-5, 2e-4))
    assert on == pytest.approx(-3.0 - 2e-3 * 0.49 / (2 * MASS), rel=1e-9)
    assert off == pytest.approx(-3.0, rel=1e-9)


def test_offset_stands_at_the_output_and_too_much_of_it_holds_the_stage() -> None:
    bench = Bench(inductance=PAIR, **loop(gain=100.0, offset=0.02))
    linear = made(bench, strings=False)
    assert linear.point.z[:3] == pytest.approx([0.0, 2.0 / 50.0, 2.0], rel=1e-9)
    stuck = made(replace(bench, **loop(gain=1e5, offset=-0.02, headroom_low=1.5)), strings=False)
    assert stuck.point.held.tolist() == [-1]
    assert stuck.point.z[1:3] == pytest.approx([-7.5 / 50.0, -7.5], rel=1e-9)
    assert not stuck.states("stage").size
    assert np.all(response(stuck, np.array([100.0]), "output", "input") == 0.0)


def test_steady_current_leans_the_string_into_its_head() -> None:
    """F = K i + ½ L₁′ i²: 40 mA at 0.02 N/A, L₁′ towards the head 0.03 H/m, over the mode's stiffness."""
    poles = heads(0.6, 0.5, twist=0.03)
    linear = made(Bench(poles=poles, inductance=PAIR, **loop(offset=0.02)))
    force = 0.02 * 0.04 + 0.5 * 0.03 * 0.04**2
    assert linear.point.q[0, 0, 0] == pytest.approx(0.5 * force / (MASS * (400 * np.pi) ** 2), rel=1e-6)


def test_weak_rail_carries_one_half_wave_of_a_class_b_output() -> None:
    """A stage hears the sag of its high rail, 3 Ω · draw: about no current half of it; z = (i_s, i_d, v, u, high, low)."""
    voltage = np.array([row(6, z0=-1.0), row(6, z2=1.0, z1=-50.0)])
    rows = network(np.zeros((0, 6)), voltage, np.array([row(6, z4=-3.0)]), np.array([row(6, z1=1.0)]), extra=3)
    linear = made(Bench(inductance=np.diag([1e-9, 1e-9]), network=rows, stages=({"gain": 100.0, "rate": 1e6},)), strings=False)
    through = response(linear, np.array([1e-3]), "output", "input")[0, 0, 0]
    assert through == pytest.approx(100.0 / (1 + 100.0 * 3.0 * 0.5 / 50.0), rel=1e-6)
