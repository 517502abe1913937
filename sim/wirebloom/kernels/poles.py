"""Where strings meet heads: what the coils see of the strings, and how the magnets pull on them."""

from wirebloom.kernels.circuit import BEFORE, CHANGE, LINKAGE, LINKED, MIDDLE, SEEN
from wirebloom.kernels.compiler import kernel
from wirebloom.kernels.spline import look_up

TABLE, CIRCUIT, CORE = 0, 1, 2  # columns of pole (J, 3)
GAP, OFFSET, SIGN = 0, 1, 2  # columns of rest (J, 3), m, m, 1


@kernel
def link(loops, solid, coefficient, axes, pole, rest, moved, wire, mesh, iron):
    """Look up every pole's wire (J, 12) at its motion (J, 2); add its inductance and flux linkage to its circuit and core."""
    if len(solid) > 0:
        for g in range(iron.shape[0]):
            iron[g, LINKED] = 0.0
    for c in range(2 * len(loops)):
        mesh[c, CHANGE], mesh[c, LINKAGE] = 0.0, 0.0
    for j in range(moved.shape[0]):
        row, c = pole[j, TABLE], pole[j, CIRCUIT]
        look_up(coefficient[row], axes[row], rest[j, GAP] - moved[j, 0], rest[j, OFFSET] + moved[j, 1], wire[j])
        if c >= 0:
            mesh[c, CHANGE] += wire[j, 2]
            mesh[c, LINKAGE] += rest[j, SIGN] * wire[j, 1]
            if len(solid) > 0 and pole[j, CORE] >= 0:
                iron[pole[j, CORE], LINKED] += rest[j, SIGN] * wire[j, 1]


@kernel
def pull(solid, wire, pole, rest, mesh, iron, force):
    """Magnetic force on the string at every pole (J, 2), N: ∂/∂u of W₀ + Λ i + ½ L₁ i², averaged over the step's currents.

    With Λ goes the current that the string sees, eddy currents included.
    """
    for j in range(wire.shape[0]):
        mean, square = 0.0, 0.0
        c = pole[j, CIRCUIT]
        if c >= 0:
            before = mesh[c, BEFORE]
            after = 2.0 * mesh[c, MIDDLE] - before
            mean = rest[j, SIGN] * mesh[c, MIDDLE]
            if len(solid) > 0 and pole[j, CORE] >= 0:
                mean += rest[j, SIGN] * iron[pole[j, CORE], SEEN]
            square = 0.25 * (before * before + after * after)
        force[j, 0] = -(wire[j, 4] + wire[j, 5] * mean + wire[j, 6] * square)
        force[j, 1] = wire[j, 8] + wire[j, 9] * mean + wire[j, 10] * square
