"""Installed as the module ``tablework``, so that ``python -m tablework`` runs the command.

That works where the folder of commands is on no search path, as on many Windows computers.
"""

from __future__ import annotations

from sheets.cli.main import entry_point

if __name__ == "__main__":
    entry_point()
