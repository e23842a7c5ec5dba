"""The operations of the draft editor."""
