"""Kernels one by one, against slow twins."""
