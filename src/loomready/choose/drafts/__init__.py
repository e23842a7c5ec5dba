"""Finding drafts under limits."""
