"""What reaches a string from outside its heads: point dampers and outside forces. Seldom at work."""

from wirebloom.kernels.compiler import routine
from wirebloom.kernels.modes import dot, push

STRING, START, STOP = 0, 1, 2  # columns of damper (D, 3)
POLARISATION = 1  # second column of outside (X, 2)


@routine
def any_damper(damper, s, clock):
    """Whether a point damper works on string s at step `clock`."""
    for d in range(damper.shape[0]):
        if damper[d, STRING] == s and damper[d, START] <= clock < damper[d, STOP]:
            return True
    return False


@routine
def any_force(outside, force, s):
    """Whether an outside force (X,) is at work on string s."""
    for x in range(force.shape[0]):
        if outside[x, STRING] == s and force[x] != 0.0:
            return True
    return False


@routine
def damp(v, damper, body, weight, s, clock, loss):
    """Point dampers on string s (v: (2, N)): implicit midpoint kicks, passive at any resistance. Returns the heat (J).

    body (D, 4): resistance (N·s/m), h·R·Σw²/(2m) (1), h/m (s/kg), m/2 (kg); adds the heat of each to loss (D,).
    """
    total = 0.0
    for d in range(damper.shape[0]):
        if damper[d, STRING] == s and damper[d, START] <= clock < damper[d, STOP]:
            for p in range(2):
                mean = dot(v[p], weight[d]) / (1.0 + body[d, 1])
                heat = -push(v[p], weight[d], -body[d, 2] * body[d, 0] * mean)
                loss[d] += heat * body[d, 3]
                total += heat * body[d, 3]
    return total


@routine
def push_outside(v, outside, weight, force, s, body, work):
    """Outside forces (X,) on string s (v: (2, N)) over a span: body = (span/m, m/2). Adds to work (X,), returns Σ work (J)."""
    total = 0.0
    for x in range(force.shape[0]):
        if outside[x, STRING] == s and force[x] != 0.0:
            done = body[1] * push(v[outside[x, POLARISATION]], weight[x], body[0] * force[x])
            work[x] += done
            total += done
    return total
