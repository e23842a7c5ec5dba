"""Beside the loom in the browser: a page for each job, and what really happened."""
