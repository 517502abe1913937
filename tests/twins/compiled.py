"""The right-hand side of `equations` once more as plain loops for numba: fast enough for long reference runs.

Drivers, stray fields, solid cores and the supply's ramp are left out. A test holds it against the slow one; the benchmarks time
it under DOP853.
"""

# ruff: noqa: PLR0917 - plain arrays one by one: what numba takes fastest

from collections.abc import Callable

import numpy as np
from numba import njit
from numpy.typing import NDArray

from twins.classic import Classic as Model
from twins.equations import pole_string

Floats = NDArray[np.float64]
LOOK = 9  # instead of −1, 0, 1: the amplifier looks for its rail itself
fast = njit(cache=True, error_model="numpy", fastmath={"reassoc", "contract", "arcp", "nsz"})


def flow(model: Model) -> Callable[[float, Floats, NDArray[np.int64] | None], Floats]:
    """A function f(t, y, rails) → ẏ; rails None: the amplifiers look for their rails themselves."""
    if model.cores.circuit.size:
        raise ValueError(f"cores must be none: this twin leaves them out; instead received {model.cores.circuit.size}.")
    look = np.full(len(model.amplifiers.gain), LOOK, dtype=np.int64)
    parts = flat(model)

    def rhs(t: float, y: Floats, rails: NDArray[np.int64] | None = None) -> Floats:
        return slopes(t, y, look if rails is None else rails, *parts)

    return rhs


def flat(model: Model) -> tuple[NDArray, ...]:
    """The model in few arrays: handing numba a tuple of sixty costs more than the equations."""
    strings, poles, tables, contacts, dampers, circuits, amps = (
        model.strings,
        model.poles,
        model.tables,
        model.contacts,
        model.dampers,
        model.circuits,
        model.amplifiers,
    )
    modal = np.array(
        [strings.frequency**2, 2 * strings.decay, np.repeat(strings.curvature[:, None], 2, axis=1), strings.frequency > 0], dtype=float
    )
    touch = np.column_stack([contacts.stiffness, contacts.exponent, contacts.loss, contacts.radius, contacts.recess])
    return (
        modal,
        np.column_stack([strings.inverse_mass, strings.inverse_density, strings.stretch]),
        np.column_stack([pole_string(poles.first), poles.table, poles.circuit]),
        np.column_stack([poles.sign, poles.gap, poles.offset]),
        poles.weight,
        tables.coefficient,
        np.column_stack([tables.gap_start, tables.gap_step, tables.offset_start, tables.offset_step]),
        np.column_stack([pole_string(contacts.first), contacts.pole]),
        touch,
        contacts.weight,
        np.column_stack([dampers.string, dampers.resistance, dampers.window * model.step]),
        dampers.weight,
        circuits.inductance,
        np.column_stack([circuits.resistance, circuits.elastance]),
        np.column_stack(amps),
    )


@fast
def project(row, weight):
    total = 0.0
    for n in range(row.shape[0]):
        total += row[n] * weight[n]
    return total


@fast
def push(row, weight, force):
    for n in range(row.shape[0]):
        row[n] += weight[n] * force


@fast
def basis(t):
    one = 1.0 - t
    value = (one * one * one / 6, (3 * t * t * t - 6 * t * t + 4) / 6, (-3 * t * t * t + 3 * t * t + 3 * t + 1) / 6, t * t * t / 6)
    slope = (-one * one / 2, (3 * t * t - 4 * t) / 2, (-3 * t * t + 2 * t + 1) / 2, t * t / 2)
    return value, slope


@fast
def cell(x, start, step, size):
    place = (x - start) / step
    slope = 1.0 / step if 0.0 <= place <= size - 3 else 0.0
    place = min(max(place, 0.0), size - 3.0)
    first = min(int(place), size - 4)
    return first, place - first, slope


@fast
def look_up(table, grid, gap, lateral, found):
    """found (3, 3): rows value, by gap, by offset of W₀, Λ, L₁."""
    g, t, dt = cell(gap, grid[0], grid[1], table.shape[0])
    y, r, dr = cell(lateral, grid[2], grid[3], table.shape[1])
    along, along_slope = basis(t)
    across, across_slope = basis(r)
    found[:] = 0.0
    for i in range(4):
        for c in range(3):
            row = (
                table[g + i, y, c] * across[0]
                + table[g + i, y + 1, c] * across[1]
                + table[g + i, y + 2, c] * across[2]
                + table[g + i, y + 3, c] * across[3]
            )
            turn = (
                table[g + i, y, c] * across_slope[0]
                + table[g + i, y + 1, c] * across_slope[1]
                + table[g + i, y + 2, c] * across_slope[2]
                + table[g + i, y + 3, c] * across_slope[3]
            )
            found[0, c] += along[i] * row
            found[1, c] += along_slope[i] * dt * row
            found[2, c] += along[i] * dr * turn


@fast
def eliminate(matrix, right):
    """Solve in place without pivoting: an inductance matrix is positive definite."""
    size = right.shape[0]
    for k in range(size):
        for i in range(k + 1, size):
            factor = matrix[i, k] / matrix[k, k]
            right[i] -= factor * right[k]
            for m in range(k, size):
                matrix[i, m] -= factor * matrix[k, m]
    for k in range(size - 1, -1, -1):
        for m in range(k + 1, size):
            right[k] -= matrix[k, m] * right[m]
        right[k] /= matrix[k, k]


@fast
def pull_of_magnets(q, force, current, pole, pole_at, pole_weight, table, grid, inductance, lateral):
    """Currents from flux linkages (in place), and the forces they and the magnets make."""
    found = np.empty((pole.shape[0], 3, 3))
    matrix = inductance.copy()
    for j in range(pole.shape[0]):
        s, h, c = pole[j]
        lateral[j] = pole_at[j, 2] + project(q[s, 1], pole_weight[j])
        look_up(table[h], grid[h], pole_at[j, 1] - project(q[s, 0], pole_weight[j]), lateral[j], found[j])
        if c >= 0:
            matrix[c, c] += found[j, 0, 2]
            current[c] -= pole_at[j, 0] * found[j, 0, 1]
    eliminate(matrix, current)
    for j in range(pole.shape[0]):
        s, h, c = pole[j]
        i = current[c] if c >= 0 else 0.0
        signed, square = pole_at[j, 0] * i, 0.5 * i * i
        push(force[s, 0], pole_weight[j], -(found[j, 1, 0] + signed * found[j, 1, 1] + square * found[j, 1, 2]))
        push(force[s, 1], pole_weight[j], found[j, 2, 0] + signed * found[j, 2, 1] + square * found[j, 2, 2])


@fast
def push_of_faces(q, v, force, touch_at, touch, touch_weight, pole_at, lateral):
    for x in range(touch.shape[0]):
        s, j = touch_at[x]
        across, weight = abs(lateral[j]), touch_weight[x]
        if across > touch[x, 4]:
            continue
        depth = project(q[s, 0], weight) - pole_at[j, 1] - (touch[x, 5] if across <= touch[x, 3] else touch[x, 6])
        if depth > 0.0:
            strength = touch[x, 0] * depth ** touch[x, 1] * (1.0 + touch[x, 2] * project(v[s, 0], weight))
            push(force[s, 0], weight, -max(strength, 0.0))


@fast
def drag_of_fingers(t, v, force, damper, damper_weight):
    for d in range(damper.shape[0]):
        s = int(damper[d, 0])
        if damper[d, 2] <= t < damper[d, 3]:
            for p in range(2):
                push(force[s, p], damper_weight[d], -damper[d, 1] * project(v[s, p], damper_weight[d]))


@fast
def accelerate(q, v, force, modal, string, out):
    """out (2, S, 2, N): velocities and accelerations."""
    for s in range(q.shape[0]):
        stretched = 0.0
        for p in range(2):
            for n in range(q.shape[2]):
                stretched += modal[2, s, p, n] * q[s, p, n] * q[s, p, n]
        tighten = string[s, 2] * stretched * string[s, 1]
        for p in range(2):
            for n in range(q.shape[2]):
                stiff = (modal[0, s, p, n] + tighten * modal[2, s, p, n]) * q[s, p, n]
                out[0, s, p, n] = v[s, p, n]
                out[1, s, p, n] = modal[3, s, p, n] * (force[s, p, n] * string[s, 0] - modal[1, s, p, n] * v[s, p, n] - stiff)


@fast
def electrify(y, out, current, circuit, amp, rails):
    """Rows of y and out: λ (2A), e, x, v_o, v_C (A each). Columns of amp: the fields of classic.Amplifiers in order."""
    loops = rails.shape[0]
    for a in range(loops):
        sense, drive, e, x, o, k = 2 * a, 2 * a + 1, 2 * loops + a, 3 * loops + a, 4 * loops + a, 5 * loops + a
        out[sense] = y[e] - circuit[sense, 0] * current[sense]
        out[drive] = amp[a, 11] + y[o] - y[k] - circuit[drive, 0] * current[drive]
        out[e] = -(current[sense] + y[e] * amp[a, 1]) / amp[a, 0]
        out[x] = amp[a, 2] * (y[e] - y[x])
        out[k] = circuit[drive, 1] * current[drive]
        wanted = amp[a, 7] * (amp[a, 5] * (amp[a, 3] * y[e] + amp[a, 4] * y[x]) + amp[a, 12] - y[o] / amp[a, 6])
        slope = min(max(wanted, -amp[a, 8]), amp[a, 8])
        looking = rails[a] == LOOK and ((y[o] >= amp[a, 10] and slope > 0) or (y[o] <= amp[a, 9] and slope < 0))
        held = looking or (rails[a] != LOOK and rails[a] != 0)
        out[o] = 0.0 if held else slope


@fast
def slopes(
    t,
    y,
    rails,
    modal,
    string,
    pole,
    pole_at,
    pole_weight,
    table,
    grid,
    touch_at,
    touch,
    touch_weight,
    damper,
    damper_weight,
    inductance,
    circuit,
    amp,
):
    shape, coils = (modal.shape[1], 2, modal.shape[3]), inductance.shape[0]
    modes = shape[0] * 2 * shape[2]
    q, v = y[:modes].reshape(shape), y[modes : 2 * modes].reshape(shape)
    out, force, lateral = np.empty_like(y), np.zeros(shape), np.empty(pole.shape[0])
    current = y[2 * modes : 2 * modes + coils].copy()
    pull_of_magnets(q, force, current, pole, pole_at, pole_weight, table, grid, inductance, lateral)
    push_of_faces(q, v, force, touch_at, touch, touch_weight, pole_at, lateral)
    drag_of_fingers(t, v, force, damper, damper_weight)
    accelerate(q, v, force, modal, string, out[: 2 * modes].reshape((2, shape[0], 2, shape[2])))
    electrify(y[2 * modes :], out[2 * modes :], current, circuit, amp, rails)
    return out
