"""The planning page, and the records of what a warp took."""
