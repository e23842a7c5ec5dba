"""Choosing colors from the shelf."""
