"""Pure functions of the field, one phenomenon a file; SI units, no files but the cache of head tables."""
