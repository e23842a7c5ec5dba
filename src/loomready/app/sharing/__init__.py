"""The room: other devices see and change this guild, by codes."""
