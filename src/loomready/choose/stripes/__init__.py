"""Stripes: widths that end with a whole one, and orders of stripes to choose from."""
