"""Symmetry of threadings, and ways to balance them."""
