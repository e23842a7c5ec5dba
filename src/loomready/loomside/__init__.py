"""The steps at the warping board and the loom, the log of what was done, and what finished warps teach."""
