"""The packet: sheets of paper for the warping board and the loom, one PDF for each warp."""
