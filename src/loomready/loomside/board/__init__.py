"""Paths over the pegs of a warping board."""
