"""Notebooks run by papermill with checked parameters."""
