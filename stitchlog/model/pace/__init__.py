"""How fast a stitcher works: pooled paces and what moves them.

Its modules are imported by name.
"""

__all__: list[str] = []
