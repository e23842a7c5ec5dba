"""The planning page, and what is noted about a warp."""
