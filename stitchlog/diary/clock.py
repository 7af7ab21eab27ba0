"""The clock: read here and nowhere else."""

import datetime as dt


def today() -> dt.date:
    """The day on this computer's calendar."""
    return dt.date.today()
