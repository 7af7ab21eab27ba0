"""How fast a stitcher works: pooled paces and what moves them."""
