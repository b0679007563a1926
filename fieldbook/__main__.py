"""Run the command line with `python -m fieldbook`."""

from fieldbook.cli import run

run()
