"""The days of an event: who is at which stand, what classes get, what is packed."""
