"""Ground floor: bytes of on-board diagnostics and their meaning, without input or output."""
