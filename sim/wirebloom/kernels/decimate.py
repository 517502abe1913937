"""From steps to samples: a symmetric low-pass read at every few steps."""

from wirebloom.kernels.compiler import routine


@routine
def decimate(steps, taps, every, out):
    """out[m] = Σ_i taps[i] · steps[m·every + i] for all rows m of out; steps (n, M), taps (L,), out (m, M) float32."""
    for m in range(out.shape[0]):
        for c in range(out.shape[1]):
            total = 0.0
            for i in range(taps.shape[0]):
                total += taps[i] * steps[m * every + i, c]
            out[m, c] = total
