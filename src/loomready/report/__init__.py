"""Plans, drafts and choices as plain text and as JSON."""
