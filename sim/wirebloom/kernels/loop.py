"""The time loop: K(h/2) C(h) K(h/2) at frozen position, then A(h), the exact motion of every mode.

The two half kicks share the position, so they merge into one kick with the force averaged over the currents before and
after the circuit step. Second order in every state. Named tuples are unpacked here and nowhere below: handing them on costs
more than the arithmetic.
"""

from wirebloom.kernels.circuit import MIDDLE, circuit_step
from wirebloom.kernels.compiler import kernel, routine
from wirebloom.kernels.contact import FORCE, glide, in_reach, measure_rooms, walk
from wirebloom.kernels.desk import add_products, place_meters
from wirebloom.kernels.modes import dot, kick, kick_and_rotate, push, read, rotate
from wirebloom.kernels.outside import any_damper, any_force, damp, push_outside
from wirebloom.kernels.pack import RECENT, pack, put_down, take_up, turns
from wirebloom.kernels.poles import link, pull

DONE, STRING_LOST, CIRCUIT_LOST = 0, 1, 2
HOPELESS_DISPLACEMENT = 0.1  # m: no string of an instrument moves so far
HOPELESS_CURRENT = 1e4  # A
HOPELESS_FORCE = 1e6  # N
HOPELESS_BEND = 1e6  # Σ k² q²: a string at slopes of a thousand


@routine
def turn_all(q, v, turn):
    """Rotate every mode of every string; q, v (S, 2, N), turn (S, 2, 4, N)."""
    for s in range(q.shape[0]):
        for p in range(2):
            rotate(q[s, p], v[s, p], turn[s, p])


@kernel
def lost(moved):
    """First pole (J, 2) that is no longer finite or beyond all reason, or −1. Written so that NaN counts as lost."""
    for j in range(moved.shape[0]):
        if not abs(moved[j, 0]) + abs(moved[j, 1]) < HOPELESS_DISPLACEMENT:
            return j
    return -1


@kernel
def torn(force):
    """First pole (J, 2) whose magnetic force is no longer finite or beyond all reason, or −1."""
    for j in range(force.shape[0]):
        if not abs(force[j, 0]) + abs(force[j, 1]) < HOPELESS_FORCE:
            return j
    return -1


@kernel
def burnt(loops, mesh):
    """First circuit whose current is no longer finite or beyond all reason, or −1."""
    for c in range(2 * len(loops)):
        if not abs(mesh[c, MIDDLE]) < HOPELESS_CURRENT:
            return c
    return -1


@kernel
def observe(q, shape, weight, moved, heard):
    """Read one string (q: (2, N)): bridge force into heard (2,) (N), motion at its poles into moved (J', 2) (m).

    shape (4, N) of the string, weight (J', N) of its poles. Returns Σ k² q² over both rows (1).
    """
    bent, poles = 0.0, moved.shape[0]
    for p in range(2):
        part, heard[p], one, two = read(q[p], shape)
        bent += part
        if poles > 0:
            moved[0, p] = one
        if poles > 1:
            moved[1, p] = two
        for j in range(2, poles):
            moved[j, p] = dot(q[p], weight[j])
    return bent


@kernel
def front_pull(force, p, share):
    """Impulses on the modes by the forces (J', 2) at the two front poles, share = h/m times the part of the step."""
    one = share * force[0, p] if force.shape[0] > 0 else 0.0
    two = share * force[1, p] if force.shape[0] > 1 else 0.0
    return one, two


@kernel
def push_rest(v, force, weight, share):
    """Kicks (v: (2, N)) by the poles beyond the front two. Returns the sum of `push`."""
    twice = 0.0
    for j in range(2, force.shape[0]):
        for p in range(2):
            twice += push(v[p], weight[j], share * force[j, p])
    return twice


@kernel
def kick_both(q, v, shape, weight, force, share, tighten):
    """All magnetic kicks and that of the tension on one string, for a part of the step. Returns the sum of `push`."""
    twice = push_rest(v, force, weight, share)
    for p in range(2):
        one, two = front_pull(force, p, share)
        twice += kick(q[p], v[p], shape, one, two, tighten)
    return twice


@routine
def run_steps(packed, working, inputs, record):
    """Run one step for every row of `inputs`, changing `working` in place and filling `record`.

    Returns (status, step, where): DONE; or STRING_LOST with the pole, or CIRCUIT_LOST with the circuit, at the step
    (within this call) where a value was no longer finite or beyond all reason.
    """
    (sizes, solid, h, body, shape, full, fine, half_fine, first, weight, pole, rest, coefficient, axes, law, contact_pole, contact_weight,
     outside, outside_weight, damper, damper_body, damper_weight, home, _) = packed  # fmt: skip
    q, v, desk, stage, mesh, iron, touch, previous, clock, work, damper_loss, driver_work, wire, bent, spare, recent, products = working
    supplies, noises, strays, outside_forces = inputs
    displacements, forces, contacts, currents, nodes, outputs, capacitors, rails, bridges = record
    loops = sizes[0]
    meters = place_meters(sizes)

    for t in range(supplies.shape[0]):
        supply, noise, moved, force = supplies[t], noises[t], displacements[t], forces[t]
        for s in range(q.shape[0]):
            a, z = first[s, 0], first[s + 1, 0]
            bent[s] = observe(q[s], shape[s], weight[a:z], moved[a:z], bridges[t, s])
            if not bent[s] < HOPELESS_BEND:
                return STRING_LOST, t, a
        where = lost(moved)
        if where >= 0:
            return STRING_LOST, t, where
        link(loops, solid, coefficient, axes, pole, rest, moved, wire, mesh, iron)
        circuit_step(sizes, solid, desk, stage, mesh, home, iron, noise, strays[t], supply, h, recent, clock[0] % RECENT)
        where = burnt(loops, mesh)
        if where >= 0:
            return CIRCUIT_LOST, t, where

        pull(solid, wire, pole, rest, mesh, iron, force)
        where = torn(force)
        if where >= 0:
            return STRING_LOST, t, where
        for s in range(q.shape[0]):
            share, tighten, half_mass = body[s, 0], body[s, 1] * bent[s], body[s, 2]
            a, z = first[s, 0], first[s + 1, 0]
            k, end = first[s, 1], first[s + 1, 1]
            own = force[a:z]
            close = in_reach(contact_pole[k:end], rest, moved, previous, touch[k:end])
            damped = damper.shape[0] > 0 and any_damper(damper, s, clock[0])
            forced = outside.shape[0] > 0 and any_force(outside, outside_forces[t], s)
            if close or damped or forced:
                # Split and mirrored about the damper, so that the step stays symmetric in time.
                half = (0.5 * share, half_mass)
                work[s] += push_outside(v[s], outside, outside_weight, outside_forces[t], s, half, driver_work)
                twice = kick_both(q[s], v[s], shape[s], weight[a:z], own, 0.5 * share, 0.5 * tighten)
                work[s] -= damp(v[s], damper, damper_body, damper_weight, s, clock[0], damper_loss)
                twice += kick_both(q[s], v[s], shape[s], weight[a:z], own, 0.5 * share, 0.5 * tighten)
                work[s] += push_outside(v[s], outside, outside_weight, outside_forces[t], s, half, driver_work)
                rooms, points = touch[k:end], contact_weight[k:end]
                measure_rooms(law[k:end], contact_pole[k:end], rest, moved, previous, rooms)
                if not glide(q[s, 0], v[s, 0], full[s, 0], points, rooms, h, spare):
                    mass = (h, 0.5 / half_mass)
                    work[s] += walk(q[s, 0], v[s, 0], fine[s, 0], half_fine[s, 0], points, law[k:end], rooms, mass)
                rotate(q[s, 1], v[s, 1], full[s, 1])
            else:
                twice = push_rest(v[s], own, weight[a:z], share)
                for p in range(2):
                    one, two = front_pull(own, p, share)
                    twice += kick_and_rotate(q[s, p], v[s, p], shape[s], one, two, tighten, full[s, p])
            work[s] += half_mass * twice

        for j in range(moved.shape[0]):
            previous[j] = moved[j, 0]
        for k in range(touch.shape[0]):
            contacts[t, k] = touch[k, FORCE]
            touch[k, FORCE] = 0.0
        for a in range(len(loops)):
            currents[t, 2 * a], currents[t, 2 * a + 1] = mesh[2 * a, MIDDLE], mesh[2 * a + 1, MIDDLE]
            nodes[t, a] = desk[meters + a]
            outputs[t, a] = desk[meters + len(loops) + a]
            capacitors[t, a] = desk[meters + 2 * len(loops) + a]
            rails[t, a] = desk[meters + 3 * len(loops) + a]
        clock[0] += 1
        if clock[0] % RECENT == 0:
            add_products(recent, products)
    return DONE, supplies.shape[0], -1


def begin(model, state):
    """Move the strings half a step ahead of the circuits, in place: once, at the start of a run."""
    turn_all(state.q, state.v, turns(model.ahead))


def advance(model, state, inputs, record):
    """`run_steps` on a Model and a State as they come from compile. Same returns."""
    packed, working = pack(model), take_up(state, model)
    result = run_steps(packed, working, inputs, record)
    put_down(working, state, model, packed)
    return result
