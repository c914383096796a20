"""How fast and how safely readings come in, and how lists stand a large portfolio."""
