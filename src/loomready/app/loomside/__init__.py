"""The At the loom pages: a page for each job, warping boards, and the project record."""
