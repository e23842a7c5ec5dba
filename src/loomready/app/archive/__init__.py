"""Guild files and backups, out and in."""
