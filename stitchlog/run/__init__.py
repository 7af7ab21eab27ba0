"""Notebooks run by papermill with checked parameters.

Its modules are imported by name.
"""

__all__: list[str] = []
