"""What events and due days ask for, and the chances of meeting it.

Its modules are imported by name.
"""

__all__: list[str] = []
