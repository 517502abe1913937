"""One implicit-midpoint step of all coils and their electronics at frozen string position.

Capacitors and inductors are eliminated beforehand: every row over z = (x, i, v, u) is folded to one over their values at the start of
the step and the means of i, v and u. Coils leave a small matrix that moves with the string; each amplifying stage leaves one
scalar equation with its limits (`stages`). The step is A-stable and balances power exactly.

`mesh[c]` is circuit c: flux, what the wires add, currents, and its rows of the matrices.
All small loops here run over lengths known when the code is compiled, and unroll.
"""

from wirebloom.kernels.compiler import kernel
from wirebloom.kernels.desk import (
    ahead,
    at_rest,
    before,
    behind,
    columns,
    gather,
    inputs,
    moving,
    net_ahead,
    net_before,
    net_behind,
    place_ahead,
    place_before,
    place_behind,
    place_response,
)
from wirebloom.kernels.stages import DRAW, DRAWN, OUTPUT, QUIESCENT, VOLTS, gives, settle

# mesh (C, 10 + 3C + W): flux λ (Wb), the wires' L₁ (H) and Λ (Wb), current before and mean over the step (A), rms of the thermal
# EMF (V), area (m²), EMF from outside (V), heat in the heads' cores (J), work of the EMF (J; in the loop's first row);
FLUX, CHANGE, LINKAGE, BEFORE, MIDDLE, NOISE, AREA, EMF, HEAT, NOISE_WORK, INDUCTANCE = 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10
# then rows of L⁰ (H), of L⁰ + (h/2)R (H), of the factor at work, and mean currents per volt of each stage (S); of a coil with
# eddy currents, less what their loops take off when they are eliminated.
# iron (H, 14), both stages side by side: (h/2)R/D (1), 1/D (H⁻¹), h R (Ω s), κ (1), flux λ_k and free flux (Wb);
HELD, PER_HENRY, FALL, SHARE, EDDY, FREE = 0, 2, 4, 6, 8, 10
# the wires' Λ (Wb) and the current that the string sees (A).
LINKED, SEEN = 12, 13
IRON = 14


@kernel
def matrices(loops):
    """First columns of the matrices in `mesh`: midpoint matrix, factor, currents per volt."""
    size = 2 * len(loops)
    return INDUCTANCE + size, INDUCTANCE + 2 * size, INDUCTANCE + 3 * size


@kernel
def factor(loops, mesh, base):
    """Make ready to solve with the matrix in columns `base` … plus diag(L₁): its inverse for one loop, else L U.

    A unit lower triangle, reciprocal pivots on the diagonal. An inverse of two rows waits for one division instead of two.
    """
    _, made, _ = matrices(loops)
    size = 2 * len(loops)
    if size == 2:
        first, last = mesh[0, base] + mesh[0, CHANGE], mesh[1, base + 1] + mesh[1, CHANGE]
        upper, lower = mesh[0, base + 1], mesh[1, base]
        share = 1.0 / (first * last - upper * lower)
        mesh[0, made], mesh[0, made + 1] = last * share, -upper * share
        mesh[1, made], mesh[1, made + 1] = -lower * share, first * share
    else:
        for i in range(size):
            for j in range(size):
                total = mesh[i, base + j]
                if i == j:
                    total += mesh[i, CHANGE]
                for k in range(min(i, j)):
                    total -= mesh[i, made + k] * mesh[k, made + j]
                if j < i:
                    total *= mesh[j, made + j]
                mesh[i, made + j] = 1.0 / total if i == j else total


@kernel
def solve(loops, mesh, x):
    """Column x of mesh ← M⁻¹ times it, with what `factor` left."""
    _, made, _ = matrices(loops)
    size = 2 * len(loops)
    if size == 2:
        first, last = mesh[0, x], mesh[1, x]
        mesh[0, x] = mesh[0, made] * first + mesh[0, made + 1] * last
        mesh[1, x] = mesh[1, made] * first + mesh[1, made + 1] * last
    else:
        for i in range(size):
            for k in range(i):
                mesh[i, x] -= mesh[i, made + k] * mesh[k, x]
        for i in range(size - 1, -1, -1):
            total = mesh[i, x]
            for k in range(i + 1, size):
                total -= mesh[i, made + k] * mesh[k, x]
            mesh[i, x] = total * mesh[i, made + i]


@kernel
def currents_before(loops, mesh):
    """i = L⁻¹(λ − Λ) at the start of the step, A."""
    factor(loops, mesh, INDUCTANCE)
    for c in range(2 * len(loops)):
        mesh[c, BEFORE] = mesh[c, FLUX] - mesh[c, LINKAGE]
    solve(loops, mesh, BEFORE)


@kernel
def feed(sizes, desk, stage, supply):
    """u at mid-step: share of the supply, and what the stages draw, extrapolated from the means over the last two steps (A)."""
    desk[0] = supply
    if len(sizes[4]) > 0:
        for w in range(len(sizes[1])):
            desk[1 + 2 * w] = max(2.0 * stage[w, DRAW] - stage[w, DRAW + 1], 0.0)
            desk[2 + 2 * w] = max(2.0 * stage[w, DRAW + 2] - stage[w, DRAW + 3], 0.0)


@kernel
def given_before(sizes, desk, stage, mesh):
    """What every stage gives at the start of the step, A."""
    coils, rest = 2 * len(sizes[0]), at_rest(sizes)
    for c in range(coils):
        desk[rest + c] = mesh[c, BEFORE]
    for w in range(len(sizes[1])):
        desk[rest + coils + w] = stage[w, OUTPUT]
    gather(desk, rest + moving(sizes), before(sizes), place_before(sizes), net_before(sizes))


@kernel
def excite(loops, mesh, noise, stray):
    """EMF in every circuit from outside: thermal noise of the sense coils, a stray field (T/s) in all, V."""
    for c in range(2 * len(loops)):
        mesh[c, EMF] = -mesh[c, AREA] * stray
    for a in range(len(loops)):
        mesh[2 * a, EMF] += mesh[2 * a, NOISE] * noise[a]


@kernel
def idle_currents(sizes, desk, mesh, half):
    """Mean currents with the stages' signal voltages at zero, and per volt of each stage; half = h/2.

    Rows ahead hold the share of u and x; those of coil voltages are times h/2.
    """
    loops, rows = sizes[0], ahead(sizes)
    middle, _, per_volt = matrices(loops)
    factor(loops, mesh, middle)
    first = net_ahead(sizes) + (at_rest(sizes) + 2 * len(loops)) * rows
    for c in range(2 * len(loops)):
        mesh[c, MIDDLE] = mesh[c, FLUX] - mesh[c, LINKAGE] + half * mesh[c, EMF] + desk[place_ahead(sizes) + c]
        for w in range(len(sizes[1])):
            mesh[c, per_volt + w] = desk[first + w * rows + c]
    solve(loops, mesh, MIDDLE)
    for w in range(len(sizes[1])):
        solve(loops, mesh, per_volt + w)


@kernel
def respond(sizes, desk, mesh):
    """Complete the rows ahead by the idle currents, and their change per volt of each stage."""
    rows, rest, place, answer = ahead(sizes), at_rest(sizes), place_ahead(sizes), place_response(sizes)
    _, _, per_volt = matrices(sizes[0])
    coils = 2 * len(sizes[0])
    first, start = net_ahead(sizes) + rest * rows, 0 if len(sizes[4]) > 0 else coils  # whole vectors, if there are many rows
    for w in range(len(sizes[1])):
        for r in range(start, rows):
            desk[answer + w * rows + r] = desk[first + (coils + w) * rows + r]
    for c in range(coils):
        at, idle = first + c * rows, mesh[c, MIDDLE]
        for r in range(start, rows):
            desk[place + r] += idle * desk[at + r]
        for w in range(len(sizes[1])):
            moved = mesh[c, per_volt + w]
            for r in range(start, rows):
                desk[answer + w * rows + r] += moved * desk[at + r]


@kernel
def drive_on(sizes, stage, mesh):
    """Add what the stages drive to the mean currents, A."""
    _, _, per_volt = matrices(sizes[0])
    for c in range(2 * len(sizes[0])):
        for w in range(len(sizes[1])):
            mesh[c, MIDDLE] += mesh[c, per_volt + w] * stage[w, VOLTS]


@kernel
def carry_flux(loops, mesh):
    """λ⁺ = 2(L i + Λ) − λ, Wb: midpoint to the end of the step."""
    for c in range(2 * len(loops)):
        middle = mesh[c, LINKAGE] + mesh[c, CHANGE] * mesh[c, MIDDLE]
        for b in range(2 * len(loops)):
            middle += mesh[c, INDUCTANCE + b] * mesh[b, MIDDLE]
        mesh[c, FLUX] = 2.0 * middle - mesh[c, FLUX]


@kernel
def read_behind(sizes, desk, stage, mesh):
    """All that is read of the network at mid-step."""
    coils, rest = 2 * len(sizes[0]), at_rest(sizes)
    for c in range(coils):
        desk[rest + c] = mesh[c, MIDDLE]
    for w in range(len(sizes[1])):
        desk[rest + coils + w] = stage[w, VOLTS]
    gather(desk, rest + moving(sizes), behind(sizes), place_behind(sizes), net_behind(sizes))


@kernel
def carry_network(sizes, desk, stage, h):
    """Voltages and currents of the network, outputs of the stages and what they draw, to the end of the step."""
    fixed, place = inputs(sizes), place_behind(sizes)
    for k in range(at_rest(sizes) - fixed):
        desk[fixed + k] = 2.0 * desk[place + k] - desk[fixed + k]
    for w in range(len(sizes[1])):
        given, idle = gives(sizes, desk, stage, w), stage[w, QUIESCENT] * desk[0]
        stage[w, OUTPUT] = 2.0 * stage[w, VOLTS] - stage[w, OUTPUT]
        high, low = max(given, 0.0) + idle, max(-given, 0.0) + idle
        stage[w, DRAWN] += h * high
        stage[w, DRAWN + 1] += h * low
        if len(sizes[4]) > 0:
            stage[w, DRAW + 1], stage[w, DRAW + 3] = stage[w, DRAW], stage[w, DRAW + 2]
            stage[w, DRAW], stage[w, DRAW + 2] = high, low


@kernel
def book(loops, mesh, h):
    """What noise and stray fields did, J."""
    for a in range(len(loops)):
        mesh[2 * a, NOISE_WORK] += h * (mesh[2 * a, EMF] * mesh[2 * a, MIDDLE] + mesh[2 * a + 1, EMF] * mesh[2 * a + 1, MIDDLE])


@kernel
def lend(home, iron, mesh):
    """Free flux λ_k − κ_k Λ of every stage, added to what its circuit links. With L∞ = L⁰ − Σ L_k it gives the current before."""
    for g in range(iron.shape[0]):
        first = iron[g, EDDY] - iron[g, SHARE] * iron[g, LINKED]
        second = iron[g, EDDY + 1] - iron[g, SHARE + 1] * iron[g, LINKED]
        iron[g, FREE], iron[g, FREE + 1] = first, second
        mesh[home[g], LINKAGE] += first + second


@kernel
def hold(home, iron, mesh):
    """Of the free flux, take back what the stages' resistances hold off within the step: L_k/D_k of it stays, D = L_k + (h/2)R_k."""
    for g in range(iron.shape[0]):
        mesh[home[g], LINKAGE] -= iron[g, HELD] * iron[g, FREE] + iron[g, HELD + 1] * iron[g, FREE + 1]


@kernel
def carry_cores(home, iron, mesh):
    """Mean eddy currents, what the string sees of them (A), the stages' flux at the end of the step, their heat (J).

    Leaves in LINKAGE all that the coil links at mid-step beyond L∞ and L₁.
    """
    for g in range(iron.shape[0]):
        c, seen, heat = home[g], 0.0, 0.0
        for k in range(2):
            current = iron[g, PER_HENRY + k] * iron[g, FREE + k] - (1.0 - iron[g, HELD + k]) * mesh[c, MIDDLE]
            fall = iron[g, FALL + k] * current
            seen += iron[g, SHARE + k] * current
            heat += fall * current
            mesh[c, LINKAGE] += iron[g, HELD + k] * iron[g, FREE + k] - 0.5 * fall
            iron[g, EDDY + k] -= fall
        iron[g, SEEN] = seen
        mesh[c, HEAT] += heat


@kernel
def circuit_step(sizes, solid, desk, stage, mesh, home, iron, noise, stray, supply, h, recent, turn):
    """Advance all electronics by h: before it mesh and iron hold λ, Λ and L₁, after it the currents too.

    home (H,), iron (H, 14) of the solid cores; noise (A + W) unit normals, stray field's rise in T/s, supply 0 … 1.
    Row `turn` of recent takes the columns at mid-step.
    """
    loops = sizes[0]
    if len(solid) > 0:
        lend(home, iron, mesh)
    currents_before(loops, mesh)
    if len(solid) > 0:
        hold(home, iron, mesh)
    feed(sizes, desk, stage, supply)
    if len(sizes[4]) > 0:
        given_before(sizes, desk, stage, mesh)
    excite(loops, mesh, noise, stray)
    gather(desk, at_rest(sizes), ahead(sizes), place_ahead(sizes), net_ahead(sizes))
    idle_currents(sizes, desk, mesh, 0.5 * h)
    respond(sizes, desk, mesh)
    settle(sizes, desk, stage, noise, supply)
    drive_on(sizes, stage, mesh)
    if len(solid) > 0:
        carry_cores(home, iron, mesh)
    carry_flux(loops, mesh)
    read_behind(sizes, desk, stage, mesh)
    for k in range(columns(sizes)):
        recent[turn, k] = desk[k]
    carry_network(sizes, desk, stage, h)
    book(loops, mesh, h)
