"""Where everything stands in `desk`, the flat array of the network: numbers of the present step, and behind them its constants.

They share an array so that the compiler sees that no sum overwrites a constant: four times as fast.

`sizes` = (loops, stages, still, rows, strict) are tuples of which only the lengths matter, so that they are known when the code
is compiled: A loops, W stages, quads of columns that stand still while a step is solved (u, x), quads of rows that are read after it,
and one entry if stages have limits beyond a slew and rails that hold.

Columns: u (U), x, pad | i (C), v (W), pad. Rows solved for: voltage (C), then heard and given (W each), and if strict high, low (W each).
Rows read after: mean x, meters (4A). Rows before: given (W), only if strict.
Beside the desk: the columns of the last steps, and sums over all steps before of the products of any two columns, from which power and
heat are read once a frame.
"""

from wirebloom.kernels.compiler import apart, kernel, shared


@shared
def inputs(sizes):
    """U: the supply's share, and if strict two draws a stage."""
    return 1 + 2 * len(sizes[1]) * len(sizes[4])


@shared
def at_rest(sizes):
    """Columns of u and x."""
    return 4 * len(sizes[2])


@shared
def moving(sizes):
    """Columns of i and v."""
    return 4 * ((2 * len(sizes[0]) + len(sizes[1]) + 3) // 4)


@shared
def ahead(sizes):
    """Rows that a step is solved with."""
    return 4 * ((2 * len(sizes[0]) + (2 + 2 * len(sizes[4])) * len(sizes[1]) + 3) // 4)


@shared
def columns(sizes):
    """Columns of all kinds."""
    return at_rest(sizes) + moving(sizes)


@shared
def behind(sizes):
    """Rows that are read once it is solved."""
    return 4 * len(sizes[3])


@shared
def before(sizes):
    """Rows of what every stage gives at the start of the step."""
    return 4 * ((len(sizes[1]) + 3) // 4) * len(sizes[4])


# Offsets in desk: columns at 0, then rows ahead, their responses to each stage's volt, rows behind, rows before.
@shared
def place_ahead(sizes):
    """The rows ahead."""
    return columns(sizes)


@shared
def place_response(sizes):
    """What they answer to a volt of every stage."""
    return place_ahead(sizes) + ahead(sizes)


@shared
def place_behind(sizes):
    """The rows behind."""
    return place_response(sizes) + len(sizes[1]) * ahead(sizes)


@shared
def place_meters(sizes):
    """Of the rows behind those of the meters."""
    return place_behind(sizes) + at_rest(sizes) - inputs(sizes)


@shared
def place_before(sizes):
    """The rows before."""
    return place_behind(sizes) + behind(sizes)


@shared
def net_ahead(sizes):
    """First of the constants: a row of numbers a column of the rows ahead, then of the rows behind, then of those before."""
    return place_before(sizes) + before(sizes)


@shared
def net_behind(sizes):
    """Constants of the rows behind."""
    return net_ahead(sizes) + columns(sizes) * ahead(sizes)


@shared
def net_before(sizes):
    """Constants of the rows before."""
    return net_behind(sizes) + columns(sizes) * behind(sizes)


@kernel
def gather(desk, columns, count, place, base):
    """desk[place …] = sums over the first `columns` columns (a multiple of four) of the `count` rows at `base`.

    Eight columns at a time, and four at the end: sums over rows are vectors, fetched and put back as seldom as possible.
    """
    for k in range(0, columns - 7, 8):
        a, b, c, d = desk[k], desk[k + 1], desk[k + 2], desk[k + 3]
        e, f, g, h = desk[k + 4], desk[k + 5], desk[k + 6], desk[k + 7]
        at = base + k * count
        for r in range(count):
            i = at + r
            total = a * desk[i] + b * desk[i + count] + c * desk[i + 2 * count] + d * desk[i + 3 * count]
            total += e * desk[i + 4 * count] + f * desk[i + 5 * count] + g * desk[i + 6 * count] + h * desk[i + 7 * count]
            desk[place + r] = total if k == 0 else total + desk[place + r]
    if columns % 8 > 0:
        k = columns - 4
        a, b, c, d = desk[k], desk[k + 1], desk[k + 2], desk[k + 3]
        for r in range(count):
            i = base + k * count + r
            total = a * desk[i] + b * desk[i + count] + c * desk[i + 2 * count] + d * desk[i + 3 * count]
            desk[place + r] = total if k == 0 else total + desk[place + r]


@apart
def add_products(held, products):
    """Add the products of any two columns of eight rows (8, Z) to their sums (Z, Z), from the diagonal on; Z a multiple of four."""
    count = held.shape[1]
    for first in range(0, count, 4):
        for i in range(first, first + 4):
            a, b, c, d, e, f, g, h = (held[0, i], held[1, i], held[2, i], held[3, i], held[4, i], held[5, i], held[6, i], held[7, i])
            for j in range(first, count):
                total = a * held[0, j] + b * held[1, j] + c * held[2, j] + d * held[3, j]
                products[i, j] += total + e * held[4, j] + f * held[5, j] + g * held[6, j] + h * held[7, j]
