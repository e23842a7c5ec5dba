"""What finished warps teach about the next one."""
