"""Pages, charts as pictures, cards and tables: how things look.

Its modules are imported by name.
"""

__all__: list[str] = []
