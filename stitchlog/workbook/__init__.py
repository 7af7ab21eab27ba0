"""The live notebooks in JupyterLab, with their forms."""
