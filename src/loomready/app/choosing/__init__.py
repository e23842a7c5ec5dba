"""Pages to choose a draft, colors from the shelf, and the size that the yarn allows."""
