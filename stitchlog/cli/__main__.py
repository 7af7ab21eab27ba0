"""Runs the command line: `python -m stitchlog.cli`."""

import sys

from stitchlog.cli import main

if __name__ == "__main__":
    sys.exit(main())
