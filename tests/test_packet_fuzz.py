"""Any class list and any theme: a clear error, or a packet that holds what it says."""

from __future__ import annotations

import io
from pathlib import Path

import pikepdf
from hypothesis import event, given
from hypothesis import strategies as st

from shapes.errors import TableworkError
from sheets.files import class_list as classlist
from sheets.files import theme_file as theme
from sheets.files.class_list import NEEDS, SKILLS
from sheets.packet import make as packet
from sheets.packet.plan import Choices, make_plan
from sheets.page.frame import A4, LETTER
from sheets.theme.problems import ProblemsError
from tests.packets import files_of
from tests.parser_runs import parser_test


def mostly(good: list[str], bad: list[str]) -> st.SearchStrategy[str]:
    """One of the good texts, or now and then a bad one."""
    return st.sampled_from([*(good * 12), *bad])


NAMES = mostly(["Pip", "Zuzë", "Łapka", "D'Arley", "Bo, Jr"], ["", "𓀀", "A" * 61])
STAGE = mostly(["0", "1", "2", "3", "4", "5", "6", ""], ["7", "x"])
ROW = st.tuples(
    NAMES,
    st.sampled_from(["L", "R", "?", ""]),
    *[STAGE] * len(SKILLS),
    st.lists(mostly(list(NEEDS), ["sleepy"]), max_size=2).map(";".join),
    mostly(["", "en", "es", "pl"], ["tlh", "!"]),
)
WORDS = st.lists(
    mostly(["duck", "frog", "fish", "snail", "leaf", "rock", "star"], ["nosuchword"]),
    min_size=1,
    max_size=5,
)
PARTS = {
    "sequences": '[[sequences]]\ntitle = "Two"\nsteps = ["duck", "frog"]\n',
    "patterns": '[[patterns]]\nunit = ["blue circle", "yellow triangle"]\n',
    "objects": '[objects]\ntrace = ["can211", { name = "box", width_mm = 120, depth_mm = 65 }]\n',
    "letters": '[letters]\nset = ["D", "F"]\n',
    "plan": '[plan]\nmonday = ["cutting", "pattern"]\n',
}
BAD_PARTS = {
    "strange pattern": '[[patterns]]\nunit = ["loud circle"]\n',
    "no unit": "[[patterns]]\n",
    "unknown": "[colour]\nx = 1\n",
}
ALL_PARTS = PARTS | BAD_PARTS


def class_text(rows: list[tuple[str, ...]]) -> str:
    head = ",".join(["name", "hand", *SKILLS, "needs", "language"])
    return "\n".join([head, *(",".join(f'"{cell}"' for cell in row) for row in rows)]) + "\n"


def theme_text(words: list[str], parts: list[str]) -> str:
    rows = "\n".join(f'[[words]]\ntext = "{w}"\npicture = "{w}"' for w in dict.fromkeys(words))
    return "\n".join(
        ['title = "Puddle"', rows, *(ALL_PARTS[part] for part in dict.fromkeys(parts))]
    )


@parser_test(80)
@given(
    st.lists(ROW, max_size=4),
    WORDS,
    st.lists(mostly(list(PARTS), list(BAD_PARTS)), max_size=6),
    st.sampled_from([LETTER, A4]),
)
def test_a_clear_error_or_a_right_packet(
    rows: list[tuple[str, ...]], words: list[str], parts: list[str], paper: object
) -> None:
    try:
        listed = classlist.parse(class_text(rows).encode(), "class.csv")
        found = theme.parse(theme_text(words, parts).encode(), "puddle.toml", Path())
        plan = make_plan(found, listed, Choices(paper=paper))  # type: ignore[arg-type]
        made = packet.prepare(plan)
    except TableworkError as error:
        problems = error.problems if isinstance(error, ProblemsError) else (str(error),)
        event("refused")
        assert problems
        assert all(len(problem.splitlines()) == 1 for problem in problems)
        return
    event("made")
    assert made.outside == ()
    totals = made.plan.totals()
    assert totals.children == len(listed.children) > 0
    for name, content in files_of(made).items():
        if name.endswith(".pdf"):
            with pikepdf.open(io.BytesIO(content)) as pdf:
                assert len(pdf.pages) == totals.pages[name]
