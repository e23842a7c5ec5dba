"""The shelf: yarns, cones and weighings."""
