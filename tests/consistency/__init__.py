"""What must agree with what: limits, scalings, symmetries, energies, repeatability, noise, failure."""
