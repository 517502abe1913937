"""The kernels as plain Python: the same tests of this folder, with numba's compiler switched off, in a process of their own.

A test that passes compiled and fails here leans on the compiler (an index that wraps, an integer that overflows), the other
way round the compiler leans on something that is not so.
"""

import os
import subprocess
import sys
from pathlib import Path

import numba
import pytest

FAST = ("test_spline.py", "test_circuit.py", "test_contact.py", "test_outside.py", "test_decimate.py", "test_clamped.py")


@pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="this is the process without a compiler")
def test_kernels_as_plain_python():
    here = Path(__file__).parent
    environment = {**os.environ, "NUMBA_DISABLE_JIT": "1", "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-m", "pytest", "-q", *(str(here / name) for name in FAST)]
    done = subprocess.run(command, env=environment, cwd=here.parents[1], capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-2000:]
