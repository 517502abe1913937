"""The parts of DEVELOPERS.md that are printed from the code, and the checks that hold it and README.md to the truth."""
