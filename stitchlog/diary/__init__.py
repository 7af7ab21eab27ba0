"""The diary: its tables, how its CSV files are read and stored, and the `Diary` that questions are asked of.

Its modules are imported by name.
"""

__all__: list[str] = []
