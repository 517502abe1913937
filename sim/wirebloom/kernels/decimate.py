"""From steps to samples: a symmetric low-pass read at every few steps."""

from wirebloom.kernels.compiler import routine


@routine
def decimate(steps, taps, every, row, out):
    """out[m] = Σ_i taps[i] · steps[m·every + i] for all rows m of out.

    steps (n, M), taps (L,), row (M,) scratch, out (m, M) float32. The channels are the inner loop: they lie side by side.
    """
    for m in range(out.shape[0]):
        for c in range(row.shape[0]):
            row[c] = 0.0
        for i in range(taps.shape[0]):
            for c in range(row.shape[0]):
                row[c] += taps[i] * steps[m * every + i, c]
        for c in range(row.shape[0]):
            out[m, c] = row[c]
