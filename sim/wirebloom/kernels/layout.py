"""What the time loop is handed: named tuples of arrays, SI units, nothing else.

Index letters: S strings, N partials (padded to a multiple of 16 with dead modes), J poles (a pole is one string over
one head, ordered by string), C = 2A circuits (2a the sense coil of loop a, 2a + 1 its drive coil), A loops, K contact
points (ordered by string), D point dampers, T head tables, H solid cores (two stages each), W amplifying stages, X states of
the network. Outside point forces go by X, resistances by H too.
p = 0 is towards the heads, p = 1 sideways.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Strings(NamedTuple):
    """The modes: q̈ + 2σq̇ + ω²q = (1/m)Σ w F − (ΔT/μ) k² q, with ΔT = stretch · Σ k² (q₀² + q₁²)."""

    inverse_mass: Floats  # (S,) 1/m, m = μL/2, kg⁻¹
    inverse_density: Floats  # (S,) 1/μ, m/kg
    stretch: Floats  # (S,) EA/4, N
    curvature: Floats  # (S, N) k_n², m⁻²
    bridge: Floats  # (S, N) T k_n + E I k_n³, N/m: bridge force per modal displacement
    frequency: Floats  # (S, 2, N) undamped ω_n, rad/s (0 marks a dead, padded mode)
    decay: Floats  # (S, 2, N) σ_n, s⁻¹


class Rotation(NamedTuple):
    """Exact damped motion of every mode over one time span: q⁺ = qq·q + qv·v, v⁺ = vq·q + vv·v."""

    qq: Floats  # (S, 2, N) 1
    qv: Floats  # (S, 2, N) s
    vq: Floats  # (S, 2, N) s⁻¹
    vv: Floats  # (S, 2, N) 1


class Poles(NamedTuple):
    """Where strings meet heads. The poles of string s are first[s] … first[s + 1] − 1."""

    first: Ints  # (S + 1,)
    table: Ints  # (J,) row of Tables
    circuit: Ints  # (J,) circuit the head's coil belongs to, −1: no circuit
    sign: Floats  # (J,) ±1, sense of winding and connection within the circuit
    gap: Floats  # (J,) face to string surface with the string straight, m
    offset: Floats  # (J,) sideways rest position relative to the head's axis, m
    weight: Floats  # (J, N) shape weights φ̄_n averaged over the head's aperture


class Tables(NamedTuple):
    """Co-energy of a wire over a head, W′ = W₀ + Λ i + ½ L₁ i², as uniform cubic B-splines over gap and offset."""

    coefficient: Floats  # (T, G, Y, 4) of W₀ (J), Λ (Wb), L₁ (H), and a pad of 0
    gap_start: Floats  # (T,) gap at which the first full knot interval begins, m
    gap_step: Floats  # (T,) m
    offset_start: Floats  # (T,) m
    offset_step: Floats  # (T,) m


class Contacts(NamedTuple):
    """Unilateral law F = K δ^α (1 + β δ̇) between a point of the string and the head's stepped round face."""

    first: Ints  # (S + 1,)
    pole: Ints  # (K,)
    weight: Floats  # (K, N)
    strength: Floats  # (K,) Σ weight²/m, kg⁻¹
    stiffness: Floats  # (K,) N/m^α
    exponent: Floats  # (K,) α
    loss: Floats  # (K,) β, s/m
    radius: Floats  # (K, 2) of the core and of the flange, m
    recess: Floats  # (K, 2) depth of core and flange below the face plane, m


class Dampers(NamedTuple):
    """Point dashpots on a string (a finger, a felt), both polarisations, working between two steps."""

    string: Ints  # (D,)
    weight: Floats  # (D, N)
    strength: Floats  # (D,) Σ weight²/m, kg⁻¹
    resistance: Floats  # (D,) N·s/m
    window: Ints  # (D, 2) first step and the step after the last


class Drivers(NamedTuple):
    """External point forces (a tap, a recorded force); their values per step come with Inputs."""

    string: Ints  # (X,)
    polarisation: Ints  # (X,)
    weight: Floats  # (X, N)


class Coils(NamedTuple):
    """λ = L(q) i + Λ(q); λ′ = voltage·z + EMF. Row 2a: sense coils of loop a, row 2a + 1: its drive coils."""

    inductance: Floats  # (C, C) without the wire's share, mutual terms off the diagonal, H
    area: Floats  # (C,) flux from a uniform stray field along the heads' axes, m²: signed sum of their dipoles
    noise: Floats  # (C,) rms per step of the thermal EMF, V (sense coils; drive coils 0)


class Cores(NamedTuple):
    """Eddy currents in solid cores, as shorted turns k of their heads' coils: λ_k = L_k (i + i_k) + κ_k Λ, λ_k′ = −R_k i_k.

    The coil links Σ L_k i_k with them, and the string sees the current i + Σ κ_k i_k.
    """

    circuit: Ints  # (H,) that of the head's coil
    under: Ints  # (J,) core under every pole, −1: none
    inductance: Floats  # (H, 2) L_k, part of the coil's own, H
    resistance: Floats  # (H, 2) R_k, Ω
    share: Floats  # (H, 2) κ_k of the string's flux


class Network(NamedTuple):
    """All electronics but coils, as rows over z = (x, i, v, u).

    x (X): voltages of capacitors, V, and currents of inductors, A. i (C): coil currents, A. v (W): signal voltages of the
    stages, V. u (U): u[0] is the share of the supply that is up, 0 … 1; where a rail gives way under load, u[1 + 2w] and
    u[2 + 2w] are the currents that stage w draws out of its high rail and gives into its low one, A. Z = X + C + W + U.
    """

    rate: Floats  # (X, Z) x′, V/s and A/s
    voltage: Floats  # (C, Z) voltage over every coil, V: λ′ without EMF; series resistances are in here
    heard: Floats  # (W, Z) e of every stage without offset and noise, V
    given: Floats  # (W, Z) current out of every stage, A
    high: Floats  # (W, Z) high rail over the stage's reference, V: v ≤ high·z − headroom_high − bend·max(given·z, 0)
    low: Floats  # (W, Z) low rail over the stage's reference, V: v ≥ low·z + headroom_low + bend·max(−given·z, 0)
    heat: Floats  # (H, Z) root of the power in every resistance, √W
    heat_home: Ints  # (H,) circuit that it is booked to
    power: Floats  # (P, 2, Z) voltage (V) and current (A) of all that feeds the network: outputs of stages, sources
    power_loop: Ints  # (P,) loop that it is booked to
    meter: Floats  # (4A, Z) voltages of all loops at node, then at output, over capacitor, of supply, V: row m A + a
    inertia: Floats  # (X,) C or L: the energy stored is ½ Σ inertia x², F and H


class Stages(NamedTuple):
    """v̇ = clip(rate · (e · turned-down share − v/gain), ±slew), v held within the rails; e = heard·z + offset + noise.

    The share is 1 while the envelope of |v| is below its target, and falls as target/envelope above it, but not below `least`.
    """

    loop: Ints  # (W,)
    gain: Floats  # (W,) 1
    rate: Floats  # (W,) 2π times the product of gain and bandwidth, rad/s
    slew: Floats  # (W,) V/s
    headroom_high: Floats  # (W,) what the output stays below its high rail without current, V
    headroom_low: Floats  # (W,) what it stays above its low rail without current, V
    bend: Floats  # (W,) what each ampere given takes off the swing, Ω
    limit: Floats  # (W,) greatest current out and in, A (inf: none)
    offset: Floats  # (W,) V
    noise: Floats  # (W,) rms per step, V
    quiescent: Floats  # (W,) current from high rail to low one, A
    target: Floats  # (W,) envelope above which the gain is turned down, V (inf: never)
    attack: Floats  # (W,) rate at which the envelope rises, s⁻¹
    release: Floats  # (W,) rate at which it falls, s⁻¹
    least: Floats  # (W,) least share of the gain that is left, 1


class Model(NamedTuple):
    """Everything the loop needs to know of a rig. Immutable by convention."""

    step: float  # h, s
    strings: Strings
    full: Rotation  # over h
    ahead: Rotation  # over h/2: start of a run
    back: Rotation  # over −h/2: to read a state at a whole step
    fine: Rotation  # over h/8: between contact kicks
    half_fine: Rotation  # over h/16: before the first and after the last of them
    poles: Poles
    tables: Tables
    contacts: Contacts
    dampers: Dampers
    drivers: Drivers
    coils: Coils
    cores: Cores
    network: Network
    stages: Stages


class State(NamedTuple):
    """What a step changes, in place. Between calls q and v stand half a step ahead of the circuit states."""

    q: Floats  # (S, 2, N) modal displacement, m
    v: Floats  # (S, 2, N) modal velocity, m/s
    flux: Floats  # (C,) λ, Wb
    eddy: Floats  # (H, 2) λ_k, Wb
    x: Floats  # (X,) voltages of capacitors, V, and currents of inductors, A
    output: Floats  # (W,) signal voltage of every stage, V
    envelope: Floats  # (W,) mean size of the output of a stage that is levelled, V
    draw: Floats  # (W, 2, 2) from the high rail and into the low one, mean over the last step and the one before, A; kept where limits move
    drawn: Floats  # (W, 2) charge drawn from the high rail and given to the low one, C
    contact: Floats  # (K,) ψ, √J: root of twice the contact energy
    last_gap: Floats  # (J,) gap at the previous step, m
    clock: Ints  # (1,) steps done
    work: Floats  # (S,) work of all forces on the modes, J
    supplied: Floats  # (A,) work of all that feeds the network: stages, sources; less what stages draw from rails that give way, J
    drive_heat: Floats  # (A,) in all resistances and the drive heads' cores, J
    sense_heat: Floats  # (A,) in coil and load resistances and the sense heads' cores, J
    noise_work: Floats  # (A,) work of the sense coil's thermal EMF and of stray fields in both coils, J
    core_heat: Floats  # (C,) in the heads' cores alone, J
    products: Floats  # (Z, Z) of any two columns of the network's rows, summed over all steps but the recent ones, from the diagonal on
    recent: Floats  # (8, Z) the columns at the last steps, not yet in these sums
    contact_loss: Floats  # (K,) J
    damper_loss: Floats  # (D,) J
    driver_work: Floats  # (X,) J


class Inputs(NamedTuple):
    """What reaches the rig from outside in n steps."""

    supply: Floats  # (n,) 0 … 1, share of the full supply
    noise: Floats  # (n, A + W) unit normals: sense coils, then stages
    stray: Floats  # (n,) rise of a stray field along the heads' axes, T/s
    force: Floats  # (n, X) N


class Record(NamedTuple):
    """What n steps leave behind, all at the middle of each step, t = (k + ½)h."""

    displacement: Floats  # (n, J, 2) m
    force: Floats  # (n, J, 2) magnetic force on the string, N
    contact: Floats  # (n, K) mean contact force over the step, N
    current: Floats  # (n, C) A
    node: Floats  # (n, A) sense node voltage, V
    output: Floats  # (n, A) voltage at the amplifier's output, bias included, V
    capacitor: Floats  # (n, A) over the series capacitors of the drive circuit, V
    supply: Floats  # (n, A) of the amplifier's supply, V
    bridge: Floats  # (n, S, 2) N
