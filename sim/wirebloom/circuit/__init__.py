"""Electronics: named parts between named nodes → one set of linear equations, a deck for circuit simulators, a bill of materials."""
