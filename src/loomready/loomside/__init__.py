"""What hands do at the board and the loom, and what it teaches."""
