"""Thread by colour: what the diary spent, what pieces still need, and what that means for the thread on hand.

Its modules are imported by name.
"""

__all__: list[str] = []
