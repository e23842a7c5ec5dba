"""The draft workshop: edit, make, turn and balance a draft in the browser."""
