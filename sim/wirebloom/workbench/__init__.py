"""What is done at the bench, one call each: what the command line and ``import wirebloom as wb`` share. No physics, no files of its own."""
