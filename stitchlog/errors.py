"""The errors that a person at the keyboard can act on."""

import errno


class StitchlogError(Exception):
    """Something that could not be done. The message is one line: what, why, and what to do about it."""

    def _render_traceback_(self) -> list[str]:
        """What a notebook shows instead of a traceback: the line."""
        return [str(self)]


def why(err: OSError) -> str:
    """Why something could not be written, and what to do about it."""
    if err.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return "there is no room on the disk; make room and run it again"
    if err.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return "it is read-only; mend its rights, or copy the folder to a place you may write to"
    return f"{err.strerror or err}; look at the disk and run it again"
