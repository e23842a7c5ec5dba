"""The size that the yarn on the shelf allows."""
