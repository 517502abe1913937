"""One implicit-midpoint step of all coil circuits and amplifiers at frozen string position.

Everything linear is eliminated by hand to the coil currents; each loop then leaves one scalar equation, a clip whose
limits carry swing (no wind-up: the state itself is held) and slew. The step is A-stable and balances power exactly.

Two arrays hold it all, for few arrays stay in registers: `bank[a]` is loop a (constants for a step, voltages, scratch,
energies), `mesh[c]` is circuit c (flux, what the wires add, currents, and its rows of the matrices). `loops` is a tuple with
one entry a loop: its length is known when the code is compiled, so that all small loops here unroll.
"""

from wirebloom.kernels.compiler import kernel

# bank (A, 36). Constants of a loop for a step h:
PER_FARAD, KEEP, LAG, PER_NODE, PER_LAG, OFFSET, SETTLE, PUSH, SLEW = 0, 1, 2, 3, 4, 5, 6, 7, 8
LOW, HIGH, BIAS, COIL_NOISE, INPUT_NOISE, CHARGE, R_SENSE, R_DRIVE, G_NODE, HALF = 9, 10, 11, 12, 13, 14, 15, 16, 17, 18
A_SENSE, A_DRIVE = 19, 20
# its state, V:
NODE, ALLPASS, OUTPUT, CAPACITOR = 21, 22, 23, 24
# the scalar equation: target and limits of the output at mid-step, its value, node voltage, EMF from outside in both coils, V:
TARGET, FLOOR, CEILING, VOLTS, NODE_NOW, SENSE_EMF, DRIVE_EMF = 25, 26, 27, 28, 29, 30, 31
# energies, J:
SUPPLIED, DRIVE_HEAT, SENSE_HEAT, NOISE_WORK = 32, 33, 34, 35
BANK = 36
# mesh (C, 5 + 3C + A): flux λ (Wb), the wires' L₁ (H) and Λ (Wb), current before and mean over the step (A);
FLUX, CHANGE, LINKAGE, BEFORE, MIDDLE, INDUCTANCE = 0, 1, 2, 3, 4, 5
# then rows of L⁰ (H), of L⁰ + (h/2)R (H), of the factor at work, and mean currents per volt of each loop (S); of a coil with
# eddy currents, less what their loops take off when they are eliminated.
# iron (H, 14), both stages side by side: (h/2)R/D (1), 1/D (H⁻¹), h R (Ω s), κ (1), flux λ_k and free flux (Wb);
HELD, PER_HENRY, FALL, SHARE, EDDY, FREE = 0, 2, 4, 6, 8, 10
# the wires' Λ (Wb) and the current that the string sees (A).
LINKED, SEEN = 12, 13
IRON = 14


@kernel
def columns(loops):
    """First columns of the matrices in `mesh`: midpoint matrix, factor, currents per volt."""
    size = 2 * len(loops)
    return INDUCTANCE + size, INDUCTANCE + 2 * size, INDUCTANCE + 3 * size


@kernel
def factor(loops, mesh, base):
    """L D Lᵀ of the matrix in columns `base` … plus diag(L₁): unit lower triangle, reciprocal pivots on the diagonal."""
    _, made, _ = columns(loops)
    for i in range(2 * len(loops)):
        for j in range(i):
            total = mesh[i, base + j]
            for k in range(j):
                total -= mesh[i, made + k] * mesh[j, made + k]
            mesh[i, made + j] = total
        pivot = mesh[i, base + i] + mesh[i, CHANGE]
        for k in range(i):
            scaled = mesh[i, made + k] * mesh[k, made + k]
            pivot -= mesh[i, made + k] * scaled
            mesh[i, made + k] = scaled
        mesh[i, made + i] = 1.0 / pivot


@kernel
def solve(loops, mesh, x):
    """Column x of mesh ← M⁻¹ times it, with the factor left by `factor`."""
    _, made, _ = columns(loops)
    size = 2 * len(loops)
    for i in range(size):
        for k in range(i):
            mesh[i, x] -= mesh[i, made + k] * mesh[k, x]
    for i in range(size - 1, -1, -1):
        total = mesh[i, x] * mesh[i, made + i]
        for k in range(i + 1, size):
            total -= mesh[k, made + i] * mesh[k, x]
        mesh[i, x] = total


@kernel
def currents_before(loops, mesh):
    """i = L⁻¹(λ − Λ) at the start of the step, A."""
    factor(loops, mesh, INDUCTANCE)
    for c in range(2 * len(loops)):
        mesh[c, BEFORE] = mesh[c, FLUX] - mesh[c, LINKAGE]
    solve(loops, mesh, BEFORE)


@kernel
def idle_currents(loops, bank, mesh, noise, stray, supply):
    """Mean currents with the amplifiers' signal voltage at zero, and per volt of each amplifier.

    noise (A, 2) unit normals, stray field's rise in T/s, supply 0 … 1.
    """
    middle, _, per_volt = columns(loops)
    factor(loops, mesh, middle)
    for a in range(len(loops)):
        s, d = 2 * a, 2 * a + 1
        bank[a, SENSE_EMF] = bank[a, COIL_NOISE] * noise[a, 0] - bank[a, A_SENSE] * stray
        bank[a, DRIVE_EMF] = -bank[a, A_DRIVE] * stray
        sense = bank[a, KEEP] * bank[a, NODE] + bank[a, SENSE_EMF]
        drive = bank[a, BIAS] * supply - bank[a, CAPACITOR] + bank[a, DRIVE_EMF]
        mesh[s, MIDDLE] = mesh[s, FLUX] - mesh[s, LINKAGE] + bank[a, HALF] * sense
        mesh[d, MIDDLE] = mesh[d, FLUX] - mesh[d, LINKAGE] + bank[a, HALF] * drive
        for c in range(2 * len(loops)):
            mesh[c, per_volt + a] = bank[a, HALF] if c == d else 0.0
        solve(loops, mesh, per_volt + a)
    solve(loops, mesh, MIDDLE)


@kernel
def aim(loops, bank, mesh, noise, supply):
    """The scalar equation of every loop: target of the output without feedback through crosstalk, floor and ceiling, V.

    The target is unbounded; floor and ceiling put both the slew over half a step and the swing at the step's end into
    limits for the value at its middle.
    """
    for a in range(len(loops)):
        node = bank[a, KEEP] * (bank[a, NODE] - bank[a, PER_FARAD] * mesh[2 * a, MIDDLE])
        heard = bank[a, PER_NODE] * node + bank[a, PER_LAG] * bank[a, ALLPASS]
        heard += bank[a, OFFSET] + bank[a, INPUT_NOISE] * noise[a, 1]
        out = bank[a, OUTPUT]
        bank[a, TARGET] = out * bank[a, SETTLE] + bank[a, PUSH] * heard
        floor = max(out - bank[a, SLEW], 0.5 * (out + bank[a, LOW] * supply))
        bank[a, FLOOR] = floor
        bank[a, CEILING] = max(floor, min(out + bank[a, SLEW], 0.5 * (out + bank[a, HIGH] * supply)))
        bank[a, VOLTS] = out


@kernel
def feedback(loops, bank, mesh, a, b):
    """What one volt of loop b moves the target of loop a within the step, by crosstalk between coils (1)."""
    _, _, per_volt = columns(loops)
    return -bank[a, PUSH] * bank[a, PER_NODE] * bank[a, KEEP] * bank[a, PER_FARAD] * mesh[2 * a, per_volt + b]


@kernel
def clipped(target, own, floor, ceiling, before):
    """Solve v = clip(target + own · v, floor, ceiling).

    A loop that is unstable within one step (own ≥ 1, only possible through crosstalk) runs to the limit it heads for.
    """
    if own < 1.0:
        return min(max(target / (1.0 - own), floor), ceiling)
    return ceiling if target + own * before > before else floor


@kernel
def settle(loops, bank, mesh):
    """Solve all loops' scalar equations for bank[:, VOLTS] by sweeps; a single loop is exact after the first."""
    for _ in range(24):
        change, size = 0.0, 0.0
        for a in range(len(loops)):
            target = bank[a, TARGET]
            for b in range(len(loops)):
                if b != a:
                    target += feedback(loops, bank, mesh, a, b) * bank[b, VOLTS]
            old = bank[a, VOLTS]
            new = clipped(target, feedback(loops, bank, mesh, a, a), bank[a, FLOOR], bank[a, CEILING], old)
            bank[a, VOLTS] = new
            change, size = max(change, abs(new - old)), max(size, abs(new))
        if len(loops) == 1 or change <= 1e-13 * size:
            break


@kernel
def drive_on(loops, bank, mesh):
    """Add what the amplifiers drive to the mean currents, A."""
    _, _, per_volt = columns(loops)
    for a in range(len(loops)):
        for c in range(2 * len(loops)):
            mesh[c, MIDDLE] += mesh[c, per_volt + a] * bank[a, VOLTS]


@kernel
def carry_flux(loops, mesh):
    """λ⁺ = 2(L i + Λ) − λ, Wb: midpoint to the end of the step."""
    for c in range(2 * len(loops)):
        middle = mesh[c, LINKAGE] + mesh[c, CHANGE] * mesh[c, MIDDLE]
        for b in range(2 * len(loops)):
            middle += mesh[c, INDUCTANCE + b] * mesh[b, MIDDLE]
        mesh[c, FLUX] = 2.0 * middle - mesh[c, FLUX]


@kernel
def carry_loops(loops, bank, mesh, supply):
    """Loop voltages to the end of the step, and what the amplifiers gave and the resistances took (J)."""
    for a in range(len(loops)):
        sense, drive = mesh[2 * a, MIDDLE], mesh[2 * a + 1, MIDDLE]
        h = 2.0 * bank[a, HALF]
        node = bank[a, KEEP] * (bank[a, NODE] - bank[a, PER_FARAD] * sense)
        allpass = (bank[a, ALLPASS] + bank[a, LAG] * node) / (1.0 + bank[a, LAG])
        bank[a, NODE_NOW] = node
        bank[a, NODE] = 2.0 * node - bank[a, NODE]
        bank[a, ALLPASS] = 2.0 * allpass - bank[a, ALLPASS]
        bank[a, OUTPUT] = 2.0 * bank[a, VOLTS] - bank[a, OUTPUT]
        bank[a, CAPACITOR] += bank[a, CHARGE] * drive
        bank[a, SUPPLIED] += h * (bank[a, VOLTS] + bank[a, BIAS] * supply) * drive
        bank[a, DRIVE_HEAT] += h * bank[a, R_DRIVE] * drive * drive
        bank[a, SENSE_HEAT] += h * (bank[a, R_SENSE] * sense * sense + bank[a, G_NODE] * node * node)
        bank[a, NOISE_WORK] += h * (bank[a, SENSE_EMF] * sense + bank[a, DRIVE_EMF] * drive)


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
def carry_cores(home, iron, bank, mesh):
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
        bank[c // 2, SENSE_HEAT + (c % 2) * (DRIVE_HEAT - SENSE_HEAT)] += heat


@kernel
def circuit_step(loops, solid, bank, mesh, home, iron, noise, stray, supply):
    """Advance all loops by h: before it mesh and iron hold λ, Λ and L₁, after it the currents too.

    home (H,), iron (H, 14) of the solid cores; noise (A, 2) unit normals, stray field's rise in T/s, supply 0 … 1.
    """
    if len(solid) > 0:
        lend(home, iron, mesh)
    currents_before(loops, mesh)
    if len(solid) > 0:
        hold(home, iron, mesh)
    idle_currents(loops, bank, mesh, noise, stray, supply)
    aim(loops, bank, mesh, noise, supply)
    settle(loops, bank, mesh)
    drive_on(loops, bank, mesh)
    if len(solid) > 0:
        carry_cores(home, iron, bank, mesh)
    carry_flux(loops, mesh)
    carry_loops(loops, bank, mesh, supply)
