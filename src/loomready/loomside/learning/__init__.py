"""What finished warps say about the next one."""
