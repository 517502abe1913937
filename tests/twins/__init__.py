"""Slow, obvious twins of the compiled kernels, written from the equations alone."""
