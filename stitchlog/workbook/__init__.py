"""The live notebooks in JupyterLab, with their forms.

Its modules are imported by name.
"""

__all__: list[str] = []
