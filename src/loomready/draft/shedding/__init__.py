"""Tie-ups with the fewest treadles, and drafts turned."""
