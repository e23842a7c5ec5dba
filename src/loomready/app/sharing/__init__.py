"""Sharing: other devices view and change this guild, by codes."""
