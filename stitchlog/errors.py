"""The error that a person at the keyboard can act on."""


class StitchlogError(Exception):
    """Something that could not be done. The message is one line: what, why, and what to do about it."""

    def _render_traceback_(self) -> list[str]:
        """What a notebook shows instead of a traceback: the line."""
        return [str(self)]
