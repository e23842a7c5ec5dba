"""The progress of each warp."""
