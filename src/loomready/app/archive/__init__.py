"""Import and export of guild files and backups."""
