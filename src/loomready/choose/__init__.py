"""Decisions under limits: a draft, colors from the shelf, the size that the yarn allows."""
