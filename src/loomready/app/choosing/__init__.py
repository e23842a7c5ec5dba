"""Choosing in the browser: a draft, colors from the shelf, the size that the yarn allows."""
