"""Long runs against real homes and servers: kills, odd inputs, a crowd, and homes of older versions."""
