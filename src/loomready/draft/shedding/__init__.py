"""Tie-ups with the fewest treadles, and converted drafts."""
