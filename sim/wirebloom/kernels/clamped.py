"""A stage in periodic motion: v′ = rate·e − leak·v with v held between moving limits, e straight between its samples.

From one sample to the next v goes through x ↦ clip(α x + β, low, high), in two such pieces where e changes its sign and v turns round.
Such maps, put one behind the other, give such a map again: that over a whole period has the one periodic answer as its fixed point.

`held` is leak · step, `gain` rate · step (1).
"""

from math import exp, sqrt

from wirebloom.kernels.compiler import kernel, routine
from wirebloom.kernels.stages import within

THIN = 0.02  # leak · step below which weights are taken from their series


@kernel
def weights(held):
    """What is left of v after a step, and the weights (steps) of the signal at its start and its end."""
    kept = exp(-held)
    if abs(held) < THIN:
        return kept, 0.5 - held / 3.0 + held * held / 8.0, 0.5 - held / 6.0 + held * held / 24.0
    whole = (1.0 - kept) / held
    return kept, whole - (1.0 - whole) / held, (1.0 - whole) / held


@kernel
def pieces(before, now, held, gain, weight):
    """A step under a signal from one sample to the next: the share before v turns, and what both pieces keep and add."""
    kept, early, late = weight
    add = gain * (early * before + late * now)
    if before * now >= 0.0:
        return 0.0, 1.0, 0.0, kept, add
    share = before / (before - now)
    second = exp(-held * (1.0 - share))
    turned = 0.5 * gain * share * before * exp(-held * share / 1.5)
    return share, exp(-held * share), turned, second, add - second * turned


@kernel
def piece(begun, way, slope, low, high):
    """Mean of a piece that would go by `way`, with a slope to begin with: a parabola up to the limit."""
    sign = 1.0 if way >= 0.0 else -1.0
    far, room = abs(way), max(high - begun if way >= 0.0 else begun - low, 0.0)
    b = within(sign * slope, 0.0, 2.0 * far)
    c = far - b
    if far <= room:
        return begun + sign * (0.5 * b + c / 3.0)
    s = min(2.0 * room / max(b + sqrt(max(b * b + 4.0 * c * room, 0.0)), 1e-300), 1.0)
    return begun + sign * (s * s * (0.5 * b + c * s / 3.0) + (1.0 - s) * room)


@kernel
def free(begun, end, driven, slope, held):
    """Mean of a step without limits: what the leak took in it tells it, or, of a thin leak, a cubic."""
    if abs(held) > THIN:
        return (driven - (end - begun)) / held
    return begun + (end - begun) / 3.0 + slope / 6.0


@kernel
def begins(signal, floor, top, held, gain, weight):
    """Where v begins a period (M,) to end it there: the fixed point of the map of the whole period."""
    whole, plain = 1.0, 0.0
    least, most, before = floor[-1], top[-1], signal[-1]
    for k in range(signal.size):
        _, first, turned, second, rest = pieces(before, signal[k], held, gain, weight)
        plain = second * (first * plain + turned) + rest
        whole *= first * second
        least = within(second * within(first * least + turned, floor[k], top[k]) + rest, floor[k], top[k])
        most = within(second * within(first * most + turned, floor[k], top[k]) + rest, floor[k], top[k])
        before = signal[k]
    return within(plain / max(1.0 - whole, 1e-300), least, most)


@kernel
def through(signal, floor, top, held, gain, found):
    """Means (M,) over one period."""
    weight = weights(held)
    v, before, stiff = begins(signal, floor, top, held, gain, weight), signal[-1], held / (1.0 + held)
    for k in range(signal.size):
        share, first, turned, second, rest = pieces(before, signal[k], held, gain, weight)
        aim = first * v + turned
        middle = within(aim, floor[k], top[k]) if share > 0.0 else v
        way = second * middle + rest - middle
        end = within(middle + way, floor[k], top[k])
        if end == middle + way and (middle == aim or share == 0.0):
            found[k] = free(v, end, 0.5 * gain * (before + signal[k]), gain * before - held * v, held)
        else:
            straight = 0.0 if share > 0.0 else (1.0 - stiff) * (gain * before - held * middle)
            one = piece(v, aim - v, (2.0 - stiff) * (aim - v), floor[k], top[k]) if share > 0.0 else 0.0
            found[k] = share * one + (1.0 - share) * piece(middle, way, stiff * way + straight, floor[k], top[k])
        v, before = end, signal[k]


@routine
def means(signal, floor, top, held, gain, found):
    """Write the means of v over the steps that end at the samples.

    signal, found (B, M) V; floor, top (1 or B, M) V; held (B,).
    """
    for b in range(signal.shape[0]):
        low, high = min(b, floor.shape[0] - 1), min(b, top.shape[0] - 1)
        through(signal[b], floor[low], top[high], held[b], gain, found[b])
