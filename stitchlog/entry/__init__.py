"""What writes the CSV files of a diary, and what checks them.

Its modules are imported by name.
"""

__all__: list[str] = []
