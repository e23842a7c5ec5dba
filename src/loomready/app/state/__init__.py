"""What is stored: records, their snapshot as a guild, and facts from the loom."""
