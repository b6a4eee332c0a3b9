"""``python -m sheets`` is the command ``tablework``."""

from sheets.cli import entry_point

entry_point()
