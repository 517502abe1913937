"""The scalar equation of every amplifying stage and its limits, solved together for the stages' mean signal voltages v̄.

Without limits v̄ = settle·v + push·(share·e), v the output at the start. Floor and ceiling put the slew over half a step, and
the rails, headrooms, bend and current limit at the step's end, into limits for v̄. All of them are affine in every v̄, so that each stage is
solved in closed form while the others stand still.
"""

from wirebloom.kernels.compiler import kernel
from wirebloom.kernels.desk import ahead, place_ahead, place_before, place_response

# stage (W, 39 + W). Constants for a step h: weights of v and e (1), reach of the slew in half of it, steady rails at full supply (V),
SETTLE, PUSH, REACH, HIGH, LOW, HEADROOM_HIGH, HEADROOM_LOW, BEND, LIMIT = 0, 1, 2, 3, 4, 5, 6, 7, 8
# offset and noise (V), idle draw (A), level (V), shares that the envelope moves by in a step (1), least share;
OFFSET, NOISE, QUIESCENT, TARGET, ATTACK, RELEASE, LEAST = 9, 10, 11, 12, 13, 14, 15
# state: output, envelope (V), draws from the high rail (last, before) and into the low one (A), charges drawn from and into them (C);
OUTPUT, ENVELOPE, DRAW, DRAWN = 16, 17, 18, 22
# of the step: mean output, target without any stage's answer, floor, ceiling (V), push · share, own answer, 1/(1 − own),
VOLTS, AIM, FLOOR, CEILING, PUSHED, OWN, GAIN = 24, 25, 26, 27, 28, 29, 30
# 1/(2 − rail's own answer), without and with the bend, for both rails; 1 / own answer of the current; 1 / S.
PER_HIGH, PER_HIGH_BENT, PER_LOW, PER_LOW_BENT, PER_GIVEN = 31, 32, 33, 34, 35
PIECE = 36  # which of the affine pieces below the stage sits on
MATRIX = 37  # row of the linear system of all stages
FREE, STILL, ON_HIGH, ON_HIGH_BENT, ON_LOW, ON_LOW_BENT, ON_LIMIT = 0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0
HEARD, GIVEN, UPPER, LOWER = 0, 1, 2, 3  # kinds of the rows ahead
ROUNDS, SETTLED = 24, 1e-13
NO_ANSWER = 1e-15  # S: a stage that gives less per volt reaches no current limit


@kernel
def answer(sizes, desk, kind, w, b):
    """What a row of stage w moves per volt of stage b within the step."""
    return desk[place_response(sizes) + b * ahead(sizes) + 2 * len(sizes[0]) + kind * len(sizes[1]) + w]


@kernel
def standing(sizes, desk, kind, w):
    """A row of stage w with all stages' signal voltages at zero."""
    return desk[place_ahead(sizes) + 2 * len(sizes[0]) + kind * len(sizes[1]) + w]


@kernel
def others(sizes, desk, stage, kind, w):
    """A row of stage w with its own signal voltage at zero."""
    total = standing(sizes, desk, kind, w)
    for b in range(len(sizes[1])):
        if b != w:
            total += answer(sizes, desk, kind, w, b) * stage[b, VOLTS]
    return total


@kernel
def gives(sizes, desk, stage, w):
    """What stage w gives at mid-step, A."""
    return others(sizes, desk, stage, GIVEN, w) + answer(sizes, desk, GIVEN, w, w) * stage[w, VOLTS]


@kernel
def turned_down(stage, w):
    """Move the envelope on by a step, to its middle, and return the share of the gain that it leaves (1)."""
    size = abs(stage[w, OUTPUT])
    share = stage[w, ATTACK] if size > stage[w, ENVELOPE] else stage[w, RELEASE]
    stage[w, ENVELOPE] += share * (size - stage[w, ENVELOPE])
    if stage[w, ENVELOPE] > stage[w, TARGET]:
        return max(stage[w, TARGET] / stage[w, ENVELOPE], stage[w, LEAST])
    return 1.0


@kernel
def aim(sizes, desk, stage, noise):
    """The linear equation of every stage with the others at zero."""
    for w in range(len(sizes[1])):
        push = stage[w, PUSH]
        if len(sizes[4]) > 0:
            push *= turned_down(stage, w)
        heard = standing(sizes, desk, HEARD, w) + stage[w, OFFSET] + stage[w, NOISE] * noise[len(sizes[0]) + w]
        own = push * answer(sizes, desk, HEARD, w, w)
        stage[w, AIM] = stage[w, SETTLE] * stage[w, OUTPUT] + push * heard
        stage[w, PUSHED], stage[w, OWN] = push, own
        stage[w, GAIN] = 1.0 / (1.0 - own) if own < 1.0 else 0.0
        stage[w, VOLTS] = stage[w, OUTPUT]


@kernel
def reckon(sizes, desk, stage):
    """Own answers of every stage's limits."""
    for w in range(len(sizes[1])):
        given = answer(sizes, desk, GIVEN, w, w)
        high, low = answer(sizes, desk, UPPER, w, w), answer(sizes, desk, LOWER, w, w)
        bend = stage[w, BEND] * given
        stage[w, PER_HIGH], stage[w, PER_HIGH_BENT] = 1.0 / (2.0 - high), 1.0 / (2.0 - high + bend)
        stage[w, PER_LOW], stage[w, PER_LOW_BENT] = 1.0 / (2.0 - low), 1.0 / (2.0 - low + bend)
        stage[w, PER_GIVEN] = 1.0 / given if given > NO_ANSWER else 0.0


@kernel
def within(value, low, high):
    """The value, or the limit that it is beyond."""
    return min(max(value, low), high)


@kernel
def enclose(stage, w, low, high):
    """Floor and ceiling for v̄ from those of rails and currents: the slew has its say between them."""
    out, reach = stage[w, OUTPUT], stage[w, REACH]
    stage[w, FLOOR], stage[w, CEILING] = within(out - reach, low, high), within(out + reach, low, high)


@kernel
def steady_walls(sizes, stage, supply):
    """Limits of stages between rails that hold."""
    for w in range(len(sizes[1])):
        out, top, bottom = stage[w, OUTPUT], stage[w, HIGH] * supply, stage[w, LOW] * supply
        high, low = 0.5 * (top - stage[w, HEADROOM_HIGH] + out), 0.5 * (bottom + stage[w, HEADROOM_LOW] + out)
        if low > high:  # less supply than both headrooms
            low = high = within(0.5 * (low + high), 0.5 * (bottom + out), 0.5 * (top + out))
        enclose(stage, w, low, high)


@kernel
def walls(sizes, desk, stage, w):
    """Limits of a stage while the others stand still. Returns the pieces that its floor and its ceiling are made of."""
    out, bend = stage[w, OUTPUT], stage[w, BEND]
    given = others(sizes, desk, stage, GIVEN, w)
    top, bottom = others(sizes, desk, stage, UPPER, w) + out, others(sizes, desk, stage, LOWER, w) + out
    ceiling, floor = top - stage[w, HEADROOM_HIGH], bottom + stage[w, HEADROOM_LOW]
    high, low, over, under = ceiling * stage[w, PER_HIGH], floor * stage[w, PER_LOW], ON_HIGH, ON_LOW
    if bend > 0.0:
        bent_high, bent_low = (ceiling - bend * given) * stage[w, PER_HIGH_BENT], (floor - bend * given) * stage[w, PER_LOW_BENT]
        if bent_high < high:
            high, over = bent_high, ON_HIGH_BENT
        if bent_low > low:
            low, under = bent_low, ON_LOW_BENT
    if low > high:
        low = high = within(0.5 * (low + high), bottom * stage[w, PER_LOW], top * stage[w, PER_HIGH])
        over, under = STILL, STILL
    per_given = stage[w, PER_GIVEN]
    if per_given > 0.0:
        before = desk[place_before(sizes) + w]
        most = (0.5 * (before + stage[w, LIMIT]) - given) * per_given
        least = (0.5 * (before - stage[w, LIMIT]) - given) * per_given
        if most < high:
            high, over = max(most, low), ON_LIMIT
        if least > low:
            low, under = min(least, high), ON_LIMIT
    enclose(stage, w, low, high)
    return (under if stage[w, FLOOR] == low else STILL), (over if stage[w, CEILING] == high else STILL)


@kernel
def sweep(sizes, desk, stage):
    """Solve every stage in turn. Returns the greatest change and the greatest value, V.

    A stage that is unstable within one step (own answer ≥ 1, only possible through crosstalk) runs to the limit it heads for.
    """
    change, size = 0.0, 0.0
    for w in range(len(sizes[1])):
        under, over = STILL, STILL
        if len(sizes[4]) > 0:
            under, over = walls(sizes, desk, stage, w)
        old, target = stage[w, VOLTS], stage[w, AIM]
        for b in range(len(sizes[1])):
            if b != w:
                target += stage[w, PUSHED] * answer(sizes, desk, HEARD, w, b) * stage[b, VOLTS]
        free = target * stage[w, GAIN] if stage[w, OWN] < 1.0 else 1e300 * (target + stage[w, OWN] * old - old)
        new, stage[w, PIECE] = free, FREE  # what is no number stays none, and is found out
        if free >= stage[w, CEILING]:
            new, stage[w, PIECE] = stage[w, CEILING], over
        if free <= stage[w, FLOOR]:
            new, stage[w, PIECE] = stage[w, FLOOR], under
        stage[w, VOLTS] = new
        change, size = max(change, abs(new - old)), max(size, abs(new))
    return change, size


@kernel
def slope(sizes, desk, stage, w, b):
    """Change of stage w's solution per volt of stage b, on the piece it sits on (1)."""
    piece, bend = stage[w, PIECE], stage[w, BEND]
    if piece == FREE:
        return stage[w, GAIN] * stage[w, PUSHED] * answer(sizes, desk, HEARD, w, b)
    if len(sizes[4]) == 0 or piece == STILL:
        return 0.0
    given = answer(sizes, desk, GIVEN, w, b)
    if piece == ON_HIGH:
        return stage[w, PER_HIGH] * answer(sizes, desk, UPPER, w, b)
    if piece == ON_HIGH_BENT:
        return stage[w, PER_HIGH_BENT] * (answer(sizes, desk, UPPER, w, b) - bend * given)
    if piece == ON_LOW:
        return stage[w, PER_LOW] * answer(sizes, desk, LOWER, w, b)
    if piece == ON_LOW_BENT:
        return stage[w, PER_LOW_BENT] * (answer(sizes, desk, LOWER, w, b) - bend * given)
    return -stage[w, PER_GIVEN] * given


@kernel
def lone(sizes, desk, stage, w):
    """Solution of stage w with the others at zero, on the piece that it sits on, V; where a stage stands still, as it is."""
    piece, out = stage[w, PIECE], stage[w, OUTPUT]
    if piece == FREE:
        return stage[w, GAIN] * stage[w, AIM]
    if len(sizes[4]) == 0:
        return stage[w, VOLTS]
    bent = stage[w, BEND] * standing(sizes, desk, GIVEN, w)
    ceiling = standing(sizes, desk, UPPER, w) + out - stage[w, HEADROOM_HIGH]
    floor = standing(sizes, desk, LOWER, w) + out + stage[w, HEADROOM_LOW]
    if piece == ON_HIGH:
        return stage[w, PER_HIGH] * ceiling
    if piece == ON_HIGH_BENT:
        return stage[w, PER_HIGH_BENT] * (ceiling - bent)
    if piece == ON_LOW:
        return stage[w, PER_LOW] * floor
    if piece == ON_LOW_BENT:
        return stage[w, PER_LOW_BENT] * (floor - bent)
    return stage[w, VOLTS]


@kernel
def couple(sizes, desk, stage):
    """Matrix of the linear system of all stages, each on the piece it sits on: 1 − slopes."""
    for w in range(len(sizes[1])):
        for b in range(len(sizes[1])):
            stage[w, MATRIX + b] = 1.0 if b == w else -slope(sizes, desk, stage, w, b)


@kernel
def eliminate(stage, count):
    """Solve that system for its right side, the column behind the matrix. Leaves reciprocal pivots."""
    for k in range(count):
        stage[k, MATRIX + k] = 1.0 / stage[k, MATRIX + k]
        for i in range(k + 1, count):
            share = stage[i, MATRIX + k] * stage[k, MATRIX + k]
            for j in range(k + 1, count + 1):
                stage[i, MATRIX + j] -= share * stage[k, MATRIX + j]
    for k in range(count - 1, -1, -1):
        total = stage[k, MATRIX + count]
        for j in range(k + 1, count):
            total -= stage[k, MATRIX + j] * stage[j, MATRIX + count]
        stage[k, MATRIX + count] = total * stage[k, MATRIX + k]


@kernel
def guess(sizes, desk, stage):
    """Solve all stages at once, each on the piece it sat on a step ago: as a rule it still does, and one sweep bears it out."""
    count = len(sizes[1])
    couple(sizes, desk, stage)
    for w in range(count):
        stage[w, MATRIX + count] = lone(sizes, desk, stage, w)
    eliminate(stage, count)
    for w in range(count):
        stage[w, VOLTS] = stage[w, MATRIX + count]


@kernel
def leap(sizes, desk, stage):
    """Solve all stages at once, each on the piece it sits on: what sweeps alone would never reach where stages feed each other back.

    The last sweep found stage w at value_w with the stages before it renewed and those behind it not: the change it still
    has to see is that of the stages behind.
    """
    count = len(sizes[1])
    couple(sizes, desk, stage)
    for w in range(count):
        right = 0.0
        for b in range(w + 1, count):
            right -= stage[w, MATRIX + b] * (stage[b, VOLTS] - stage[b, MATRIX + count + 1])
        stage[w, MATRIX + count] = right
    eliminate(stage, count)
    for w in range(count):
        stage[w, VOLTS] += stage[w, MATRIX + count]


@kernel
def settle(sizes, desk, stage, noise, supply):
    """Solve all stages' equations for stage[:, VOLTS]: a single stage is exact after one sweep, several as a rule by the guess."""
    aim(sizes, desk, stage, noise)
    if len(sizes[4]) > 0:
        reckon(sizes, desk, stage)
    else:
        steady_walls(sizes, stage, supply)
    if len(sizes[1]) == 1:
        sweep(sizes, desk, stage)
    else:
        guess(sizes, desk, stage)
        for turn in range(ROUNDS):
            for w in range(len(sizes[1])):
                stage[w, MATRIX + len(sizes[1]) + 1] = stage[w, VOLTS]
            change, size = sweep(sizes, desk, stage)
            if change <= SETTLED * size:
                break
            if turn > 0:
                leap(sizes, desk, stage)
