"""The string against a head's face: a passive kick at any stiffness, in local substeps of the time step.

The contact energy is written as ½ψ². At frozen position ψ moves with the velocity, ψ' = g v with g = ∂ψ/∂δ, and the force
is g ψ; both at the midpoint give a linear equation in one velocity that never creates energy (quadratised energy, after
Ducceschi et al. 2021, J. Acoust. Soc. Am. 149:3502; hysteresis after Hunt and Crossley 1975).
"""

from math import sqrt

from wirebloom.kernels.compiler import kernel, routine
from wirebloom.kernels.modes import dot, push, rotate

SUBSTEPS = 8  # Model.fine spans h / 8
CLOSE = 2e-5  # m: room for what a slow string may still do within a step
SLACK = 1e-6  # m: for what partials beyond a cubic do within a step
BESIDE = 1.0  # m: the room of a string that is not over the face
# law (K, 8): constants of a contact point
STRENGTH, STIFFNESS, EXPONENT, LOSS, CORE, FLANGE, CORE_RECESS, FLANGE_RECESS = 0, 1, 2, 3, 4, 5, 6, 7
# touch (K, 4): ψ (√J), mean force over the step (N), energy lost (J), room at rest to the face below (m)
PSI, FORCE, LOST, ROOM = 0, 1, 2, 3


@routine
def contact_kick(psi, delta, speed, span, strength, stiffness, exponent, loss):
    """One passive kick over `span` (s) at penetration `delta` (m) and approach speed `speed` (m/s, before the kick).

    strength = 1/(effective mass), kg⁻¹; stiffness N/m^α; loss β in s/m. Returns the new ψ (√J), the force (N ≥ 0)
    that acted against the approach, the mean speed during the kick and the energy lost (J).
    """
    if not delta > 0.0:
        return 0.0, 0.0, speed, 0.5 * psi * psi
    root = sqrt(2.0 * stiffness / (exponent + 1.0))
    slope = root * 0.5 * (exponent + 1.0) * delta ** (0.5 * (exponent - 1.0))
    dash = stiffness * delta**exponent * loss
    pace = span * strength
    hold = 0.5 * span * slope * slope + dash
    mean = (2.0 * speed - pace * slope * psi) / (2.0 + pace * hold)
    force = slope * psi + hold * mean
    if force < 0.0:
        return 0.0, 0.0, speed, 0.5 * psi * psi
    return psi + span * slope * mean, force, mean, span * dash * mean * mean


@kernel
def press(q, v, weight, law, touch, span, inverse_mass):
    """Contact kick of one point on a row of modes, in place. Returns the work done on the modes (J, ≤ 0 while pressing)."""
    if touch[ROOM] == BESIDE and touch[PSI] == 0.0:
        return 0.0
    delta = dot(q, weight) - touch[ROOM]
    if not delta > 0.0 and touch[PSI] == 0.0:
        return 0.0
    speed = dot(v, weight)
    psi, force, mean, lost = contact_kick(touch[PSI], delta, speed, span, law[STRENGTH], law[STIFFNESS], law[EXPONENT], law[LOSS])
    touch[PSI] = psi
    touch[LOST] += lost
    touch[FORCE] += force / SUBSTEPS
    if force > 0.0:
        push(v, weight, -span * force * inverse_mass)
    return -span * force * mean


@routine
def glide(q, v, full, weight, touch, h, spare):
    """Move one row of modes (N,) over a step h (s) as if there were no face. Returns whether none would have been met.

    If one would, q and v are left as they were. A point's way is bounded by the control points of the cubic through its
    positions and velocities at both ends. full (4, N); weight (K', N), touch (K', 4) of this string's points; spare (2, N).
    """
    for k in range(touch.shape[0]):
        if touch[k, PSI] > 0.0:
            return False
    for n in range(q.shape[0]):
        spare[0, n], spare[1, n] = q[n], v[n]
    rotate(q, v, full)
    for k in range(touch.shape[0]):
        if touch[k, ROOM] == BESIDE:
            continue
        old, new = dot(spare[0], weight[k]), dot(q, weight[k])
        leaving, coming = h / 3.0 * dot(spare[1], weight[k]), h / 3.0 * dot(v, weight[k])
        if max(old, old + leaving, new - coming, new) + SLACK > touch[k, ROOM]:
            for n in range(q.shape[0]):
                q[n], v[n] = spare[0, n], spare[1, n]
            return False
    return True


@routine
def walk(q, v, fine, half_fine, weight, law, touch, body):
    """Move one row of modes (N,) over a step in substeps, with contact kicks between them. Returns their work (J).

    fine, half_fine (4, N) turns over h/8 and h/16; weight (K', N), law, touch of this string's points; body = (h, 1/m).
    """
    span, work = body[0] / SUBSTEPS, 0.0
    rotate(q, v, half_fine)
    for sub in range(SUBSTEPS):
        for k in range(law.shape[0]):
            work += press(q, v, weight[k], law[k], touch[k], span, body[1])
        rotate(q, v, half_fine if sub == SUBSTEPS - 1 else fine)
    return work


@kernel
def reach(moved, previous):
    """How far towards the heads a point may get in the coming step, m: twice its last move, and a little."""
    return moved + CLOSE + 2.0 * abs(moved - previous)


@kernel
def in_reach(pole, rest, moved, previous, touch):
    """Whether a string could meet the highest part of a face in the coming step, or is in touch.

    pole (K',), touch (K', 4) of this string's points; rest (J, 3), moved (J, 2) of all poles (m); previous (J,) motion
    towards the heads one step ago (m).
    """
    for k in range(pole.shape[0]):
        j = pole[k]
        if touch[k, PSI] > 0.0 or reach(moved[j, 0], previous[j]) > rest[j, 0]:
            return True
    return False


@kernel
def measure_rooms(law, pole, rest, moved, previous, touch):
    """Room at rest under every point of one string, m, by the part of the face that lies under it now; BESIDE if out of reach."""
    for k in range(law.shape[0]):
        j = pole[k]
        side, room = abs(rest[j, 1] + moved[j, 1]), BESIDE
        if side <= law[k, CORE]:
            room = rest[j, 0] + law[k, CORE_RECESS]
        elif side <= law[k, FLANGE]:
            room = rest[j, 0] + law[k, FLANGE_RECESS]
        touch[k, ROOM] = room if touch[k, PSI] > 0.0 or reach(moved[j, 0], previous[j]) > room else BESIDE
