"""Things that several kinds ask for, and what is said of them."""

from __future__ import annotations

from sheets.kinds.options import Options
from sheets.page.model import Material

SCISSOR_LINE = "Scissors: blunt tips, child seated, adult at the table."
LOOSE_LINE = (
    "{} are wider than the small-parts cylinder (31.75 mm), but paper tears: stay beside a child "
    "who mouths things."
)
"""Of cards or tiles; the cylinder is that of 16 CFR 1501.4."""
LOOSE_SHORT = "{}: paper tears, so stay beside a child who mouths things."
"""The same on the page itself."""

PRINTED = Material("printed sheet", 1, "paper")
TRIMMER = Material("paper trimmer, for the adult", 1, "adult", caution="trimmer")
POUCH = Material("laminating pouch", 1, "consumed", caution="laminator")
GLUE = Material("glue stick", 1, "tool", caution="glue")
PENCIL = Material("thick pencil or crayon", 1, "tool")


def printed(what: str, caution: str = "") -> Material:
    """A page other than the usual one, such as ``printed mat``."""
    return Material(what, 1, "paper", caution)


def crayon(colour: str) -> Material:
    """A crayon of a colour, by its plain word."""
    return Material(f"{colour} crayon", 1, "tool")


def laminated(count: int) -> Material:
    """Cards that a child handles in film."""
    return Material("laminated picture cards", count, "consumed", caution="laminated")


def scissors(options: Options) -> Material:
    """Scissors for the hand that cuts."""
    hand = {"left": "left-handed ", "right": "right-handed "}.get(options.hand, "")
    return Material(f"{hand}scissors, blunt tips", 1, "tool", caution="scissors")
