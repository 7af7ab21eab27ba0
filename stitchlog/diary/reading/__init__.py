"""From CSV text to checked tables and problems."""

from stitchlog.diary.reading.reader import Counts, Reading, Written, read_folder

__all__ = ["Counts", "Reading", "Written", "read_folder"]
