"""One implicit-midpoint step of all coil circuits and amplifiers at frozen string position.

Everything linear is eliminated by hand to the coil currents; each loop then leaves one scalar equation, a clip whose
limits carry swing (no wind-up: the state itself is held) and slew. The step is A-stable and balances power exactly.

Rows are handed around as small arrays: `gear[a]` the constants of loop a for one step, `loop[a]` its voltages, `coil[c]`
what the wires add to circuit c, `stage[a]` the scalar equation, `book[a]` the energies. `loops` is a tuple with one entry a
loop: its length is known when the code is compiled, so that all small loops here unroll (measured: 171 → 79 ns a step).
"""

from wirebloom.kernels.compiler import kernel

# gear (A, 19): constants of a loop for a step h
PER_FARAD, KEEP, LAG, PER_NODE, PER_LAG, OFFSET, SETTLE, PUSH, SLEW = 0, 1, 2, 3, 4, 5, 6, 7, 8
LOW, HIGH, BIAS, COIL_NOISE, INPUT_NOISE, CHARGE, R_SENSE, R_DRIVE, G_NODE, HALF = 9, 10, 11, 12, 13, 14, 15, 16, 17, 18
# loop (A, 4): state, V
NODE, ALLPASS, OUTPUT, CAPACITOR = 0, 1, 2, 3
# coil (C, 2): inductance change L₁ (H) and flux linkage Λ (Wb) by the wires
CHANGE, LINKAGE = 0, 1
# stage (A, 6): target and limits of the output at the middle of the step, its value, node voltage, thermal EMF, V
TARGET, FLOOR, CEILING, VOLTS, NODE_NOW, THERMAL = 0, 1, 2, 3, 4, 5
# book (A, 4): energies, J
SUPPLIED, DRIVE_HEAT, SENSE_HEAT, NOISE_WORK = 0, 1, 2, 3


@kernel
def factor(loops, base, coil, matrix):
    """Cholesky factor of base + diag(L₁) into the lower triangle of matrix (C, C), with reciprocal diagonal."""
    for i in range(2 * len(loops)):
        for j in range(i + 1):
            total = base[i, j]
            if i == j:
                total += coil[i, CHANGE]
            for k in range(j):
                total -= matrix[i, k] * matrix[j, k]
            matrix[i, j] = total * matrix[j, j] if j < i else 1.0 / total**0.5


@kernel
def solve(loops, matrix, x):
    """x ← M⁻¹ x with the factor left by `factor`; x (C,)."""
    size = 2 * len(loops)
    for i in range(size):
        total = x[i]
        for k in range(i):
            total -= matrix[i, k] * x[k]
        x[i] = total * matrix[i, i]
    for i in range(size - 1, -1, -1):
        total = x[i]
        for k in range(i + 1, size):
            total -= matrix[k, i] * x[k]
        x[i] = total * matrix[i, i]


@kernel
def flux_currents(loops, flux, coil, matrix, amps):
    """i = L⁻¹(λ − Λ), A, into amps (C,), with the factor of L in `matrix`."""
    for c in range(2 * len(loops)):
        amps[c] = flux[c] - coil[c, LINKAGE]
    solve(loops, matrix, amps)


@kernel
def idle_currents(loops, gear, loop, stage, flux, coil, supply, matrix, amps):
    """Mean currents with the amplifiers' signal voltage at zero, A, into amps (C,); matrix holds the midpoint factor."""
    for a in range(len(loops)):
        s, d = 2 * a, 2 * a + 1
        sense = gear[a, KEEP] * loop[a, NODE] + stage[a, THERMAL]
        drive = gear[a, BIAS] * supply - loop[a, CAPACITOR]
        amps[s] = flux[s] - coil[s, LINKAGE] + gear[a, HALF] * sense
        amps[d] = flux[d] - coil[d, LINKAGE] + gear[a, HALF] * drive
    solve(loops, matrix, amps)


@kernel
def volt_currents(loops, gear, matrix, per_volt):
    """Mean currents per volt of each amplifier, S, into per_volt (A, C)."""
    for a in range(len(loops)):
        per_volt[a, :] = 0.0
        per_volt[a, 2 * a + 1] = gear[a, HALF]
        solve(loops, matrix, per_volt[a])


@kernel
def aim(loops, gear, loop, noise, supply, idle, stage):
    """The scalar equation of every loop: target of the output without feedback through crosstalk, floor and ceiling, V.

    The target is unbounded; floor and ceiling put both the slew over half a step and the swing at the step's end into
    limits for the value at its middle. noise (A, 2); idle (C,) mean currents without the amplifiers.
    """
    for a in range(len(loops)):
        node = gear[a, KEEP] * (loop[a, NODE] - gear[a, PER_FARAD] * idle[2 * a])
        heard = gear[a, PER_NODE] * node + gear[a, PER_LAG] * loop[a, ALLPASS]
        heard += gear[a, OFFSET] + gear[a, INPUT_NOISE] * noise[a, 1]
        out = loop[a, OUTPUT]
        stage[a, TARGET] = out * gear[a, SETTLE] + gear[a, PUSH] * heard
        floor = max(out - gear[a, SLEW], 0.5 * (out + gear[a, LOW] * supply))
        stage[a, FLOOR] = floor
        stage[a, CEILING] = max(floor, min(out + gear[a, SLEW], 0.5 * (out + gear[a, HIGH] * supply)))
        stage[a, VOLTS] = out


@kernel
def feedback(gear, per_volt, a, b):
    """What one volt of loop b moves the target of loop a within the step, by crosstalk between coils (1)."""
    through = gear[a, PER_NODE] * gear[a, KEEP] * gear[a, PER_FARAD] * per_volt[b, 2 * a]
    return -gear[a, PUSH] * through


@kernel
def clipped(target, own, floor, ceiling, before):
    """Solve v = clip(target + own · v, floor, ceiling).

    A loop that is unstable within one step (own ≥ 1, only possible through crosstalk) runs to the limit it heads for.
    """
    if own < 1.0:
        return min(max(target / (1.0 - own), floor), ceiling)
    return ceiling if target + own * before > before else floor


@kernel
def settle(loops, gear, per_volt, stage):
    """Solve all loops' scalar equations for stage[:, VOLTS] by sweeps; a single loop is exact after the first."""
    count = len(loops)
    for _ in range(24):
        change, size = 0.0, 0.0
        for a in range(count):
            target = stage[a, TARGET]
            for b in range(count):
                if b != a:
                    target += feedback(gear, per_volt, a, b) * stage[b, VOLTS]
            old = stage[a, VOLTS]
            new = clipped(target, feedback(gear, per_volt, a, a), stage[a, FLOOR], stage[a, CEILING], old)
            stage[a, VOLTS] = new
            change, size = max(change, abs(new - old)), max(size, abs(new))
        if count == 1 or change <= 1e-13 * size:
            break


@kernel
def drive_on(loops, per_volt, stage, amps):
    """Add what the amplifiers drive to the mean currents amps (C,), A."""
    for a in range(len(loops)):
        for c in range(2 * len(loops)):
            amps[c] += per_volt[a, c] * stage[a, VOLTS]


@kernel
def carry_flux(loops, inductance, coil, amps, flux):
    """λ⁺ = 2(L i + Λ) − λ, Wb, in place: midpoint to the end of the step."""
    for c in range(2 * len(loops)):
        middle = coil[c, LINKAGE] + coil[c, CHANGE] * amps[c]
        for b in range(2 * len(loops)):
            middle += inductance[c, b] * amps[b]
        flux[c] = 2.0 * middle - flux[c]


@kernel
def carry_loops(loops, gear, supply, amps, stage, loop, book):
    """Loop voltages to the end of the step, and what the amplifiers gave and the resistances took (J)."""
    for a in range(len(loops)):
        sense, drive = amps[2 * a], amps[2 * a + 1]
        h = 2.0 * gear[a, HALF]
        node = gear[a, KEEP] * (loop[a, NODE] - gear[a, PER_FARAD] * sense)
        allpass = (loop[a, ALLPASS] + gear[a, LAG] * node) / (1.0 + gear[a, LAG])
        stage[a, NODE_NOW] = node
        loop[a, NODE] = 2.0 * node - loop[a, NODE]
        loop[a, ALLPASS] = 2.0 * allpass - loop[a, ALLPASS]
        loop[a, OUTPUT] = 2.0 * stage[a, VOLTS] - loop[a, OUTPUT]
        loop[a, CAPACITOR] += gear[a, CHARGE] * drive
        book[a, SUPPLIED] += h * (stage[a, VOLTS] + gear[a, BIAS] * supply) * drive
        book[a, DRIVE_HEAT] += h * gear[a, R_DRIVE] * drive * drive
        book[a, SENSE_HEAT] += h * (gear[a, R_SENSE] * sense * sense + gear[a, G_NODE] * node * node)
        book[a, NOISE_WORK] += h * stage[a, THERMAL] * sense
