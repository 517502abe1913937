"""The time loop, compiled by numba. Files in here import only numpy, numba and math, and see nothing above them.

Numba's disk cache does not notice an edit in another kernel file and would silently run old machine code. So the cache
folder is named by a digest of all kernel files, before any of them is imported.
"""

import hashlib
from pathlib import Path

import numba

from wirebloom.folders import cache_folder


def _digest() -> str:
    sources = sorted(Path(__file__).parent.glob("*.py"))
    return hashlib.sha256(b"".join(path.read_bytes() for path in sources)).hexdigest()[:16]


# Numba leaves LLVM's packing of straight-line code off; the look-up of a head table is a third faster with it.
numba.config.SLP_VECTORIZE = 1
numba.config.CACHE_DIR = str(cache_folder() / f"kernels-{_digest()}")
