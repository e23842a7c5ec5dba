"""What was done at the loom, and what follows from it."""
