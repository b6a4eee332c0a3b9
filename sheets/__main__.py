"""``python -m sheets`` is the command ``tablework``."""

from sheets.cli.main import entry_point

entry_point()
