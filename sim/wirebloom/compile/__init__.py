"""Words meet symbols: a rig and a run plan become the arrays that the time loop is handed."""

from wirebloom.compile.model import Compiled, compile_rig

__all__ = ["Compiled", "compile_rig"]
