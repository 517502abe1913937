"""The take: one recorded run, its measures and its file."""
