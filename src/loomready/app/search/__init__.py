"""One search over everything in the guild."""
