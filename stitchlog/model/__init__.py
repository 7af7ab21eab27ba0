"""What several reports rest on.

Its modules are imported by name.
"""

__all__: list[str] = []
