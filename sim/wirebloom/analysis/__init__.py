"""Looking at a rig without running it: from a compiled description to a study."""
