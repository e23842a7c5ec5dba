"""The search over everything."""
