"""The two switches of the compiler that the time loop leans on, one of them private to numba.

A numba that drops or renames the private one refuses the decorator; one that ignores it compiles what must be refused here.
"""

import math

import numba
import numpy as np
import pytest
from numba.core.errors import NumbaError

from wirebloom.kernels.compiler import FLAGS, kernel

compiled = pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="about compiled code")


def test_flags_keep_nan():
    """`nnan` or `ninf`, alone or as the whole of `fast`, delete the loop's check for a value that is no number."""
    assert not FLAGS & {"nnan", "ninf", "fast"}


@compiled
def test_a_kernel_sees_nan():
    @kernel
    def lost(x):
        return not abs(x) < 1.0

    assert lost(math.nan)
    assert lost(math.inf)
    assert not lost(0.5)


@compiled
def test_a_kernel_that_allocates_is_refused():
    """Without reference counts an array made in a kernel would never be freed."""

    @kernel
    def careless(n):
        return np.zeros(n)[0]

    with pytest.raises(NumbaError, match="No implementation"):
        careless(3)
