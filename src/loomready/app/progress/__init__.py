"""How far each warp is."""
