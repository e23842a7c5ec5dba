"""Reading and writing WIF 1.1."""
