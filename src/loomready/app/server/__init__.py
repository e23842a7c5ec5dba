"""The process that serves one home folder."""
