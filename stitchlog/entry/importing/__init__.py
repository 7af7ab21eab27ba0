"""Taking in a stitcher's own spreadsheet: read what it means, show it, then write what is new."""

from __future__ import annotations

from stitchlog.entry.importing.proposal import LeftOut, Piece, Place, Proposal, Question, Session

__all__ = ["LeftOut", "Piece", "Place", "Proposal", "Question", "Session"]
