"""How every kernel is compiled."""

from numba import njit
from numba.extending import register_jitable

# Reassociation lets reductions vectorise. Full fastmath would also assume that no NaN exists,
# and the checks for divergence would silently vanish.
FLAGS = {"reassoc", "contract", "arcp", "nsz"}

# No kernel touches a Python object: `nogil` lets runs go on side by side in threads.
# No kernel allocates: without the runtime's reference counts a step takes half the time. `kernel` is for what is called a
# few times a step and melts into its caller, `routine` for what is called from Python or seldom.
kernel = njit(fastmath=FLAGS, error_model="numpy", _nrt=False, forceinline=True)
routine = njit(cache=True, fastmath=FLAGS, error_model="numpy", _nrt=False, nogil=True)
# For what is done once in many steps: left out of the loop's own code.
apart = njit(fastmath=FLAGS, error_model="numpy", _nrt=False)
# Sums that are written as a tree stay one: reassociated, the table look-up became one chain of sixteen dependent sums.
ordered = njit(fastmath=FLAGS - {"reassoc"}, error_model="numpy", _nrt=False, forceinline=True)
# For both sides: plain Python when called from Python, part of its caller when called from a kernel.
shared = register_jitable(_nrt=False)
