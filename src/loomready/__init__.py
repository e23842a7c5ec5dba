"""loomready: from the cone on the scale to the cloth off the loom."""

__version__ = "0.13.0"
