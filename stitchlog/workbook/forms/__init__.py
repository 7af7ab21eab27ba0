"""The workbook's forms: log a session, change a piece, set a goal, take in a spreadsheet, make a report.

They call what the commands call. What a command would refuse or warn of, a form asks about.
"""

from stitchlog.workbook.forms.entries import goal, log, piece
from stitchlog.workbook.forms.importing import take_in
from stitchlog.workbook.forms.reports import report

__all__ = ["goal", "log", "piece", "report", "take_in"]
