"""The words of the command line: options that agree with each other, earlier names, plain help."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from sheets.cli.flags import OF_FIELD, current
from sheets.cli.main import OTHERS, main
from sheets.files.theme_file import parse as parse_theme
from sheets.kinds import KINDS, SKILLS, kinds_called, skill_of


@pytest.fixture(autouse=True)
def in_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def made(*command: str) -> bytes:
    """The page that a command makes."""
    assert main([*command, "--force", "--out", "page.pdf"]) == 0
    return Path("page.pdf").read_bytes()


def told(capsys: pytest.CaptureFixture[str], *command: str, code: int = 0) -> str:
    assert main(list(command)) == code
    printed = capsys.readouterr()
    return printed.err if code else printed.out


# --- options agree with each other ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (["cutting", "duck", "--paper", "a4"], ["cutting", "duck", "--paper", "A4"]),
        (["cutting", "duck", "--hand", "left"], ["cutting", "duck", "--hand", "Left"]),
        (["cutting", "duck", "--ink", "saver"], ["cutting", "duck", "--ink", "SAVER"]),
        (["cutting", "--stage", "5", "--shape", "diamond"],
         ["cutting", "--stage", "5", "--shape", "Diamond"]),
        (["cutting", "duck", "--stage", "5", "--outline", "oval"],
         ["CUTTING", "duck", "--stage", "5", "--outline", "Oval"]),
        (["pattern", "blue circle", "yellow triangle", "--task", "carry-on", "--stage", "5",
          "--answer-with", "tiles"],
         ["pattern", "blue circle, yellow triangle", "--task", "Carry on", "--stage", "5",
          "--answer-with", "Tiles"]),
        (["cutting", "duck", "--needs", "low-vision;left-scissors"],
         ["cutting", "duck", "--needs", "Left-scissors, low-vision"]),
        (["letter-match", "T", "S", "O", "--stage", "3"], ["letter-match", "T,S", "O"]),
        (["letter-match", "--letters", "T", "--letters", "S", "--letters", "O"],
         ["letter-match", "--letters", "T;S, O"]),
        (["trace-match", "--thing", "can211", "--thing", "box=120x65"],
         ["trace-match", "--thing", "CAN211,box=120x65"]),
    ],
    ids=lambda words: " ".join(words),
)  # fmt: skip
def test_one_page_however_it_is_asked_for(one: list[str], other: list[str]) -> None:
    assert made(*one) == made(*other)


@pytest.mark.parametrize("field", OF_FIELD)
def test_earlier_names_of_options_mean_the_same(field: str) -> None:
    today = f"--{OF_FIELD[field]}"
    given = [f"--{field}", "a", f"--{field}=b", field, "--", "-x"]
    assert current(given, {today}) == [today, "a", f"{today}=b", field, "--", "-x"]
    # A command that has the name for something of its own keeps it.
    assert current(given, {today, f"--{field}"}) == given
    assert current(given, ()) == given


def test_an_earlier_name_works_and_is_not_in_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert made("cutting", "--theme", "reedy-pond", "--seed", "3") == made(
        "cutting", "--theme", "reedy-pond", "--another", "3"
    )
    assert made("pattern", "--theme", "reedy-pond", "--unit=1", "--as", "tiles") == made(
        "pattern", "--theme", "reedy-pond", "--pattern=1", "--answer-with", "tiles"
    )
    capsys.readouterr()
    for kind in KINDS:
        shown = told(capsys, kind, "--help")
        assert not [name for name in OF_FIELD if f"--{name} " in shown]


def test_every_kind_takes_the_options_of_all_and_a_stage_in_the_middle(
    capsys: pytest.CaptureFixture[str],
) -> None:
    for name, entry in KINDS.items():
        shown = " ".join(told(capsys, name, "--help").split())
        assert re.search(rf"--stage 0-6 .*?\[default: {entry.load().stage}\]", shown)
        assert entry.load().stage in (3, 4)
        for option in ("--needs WORDS", "--theme NAME", "--another NUMBER", "--hand", "--colour"):
            assert option in shown, name


JARGON = (
    "<int>", "<str>", "<float>", "<path>", "code point", "--seed", "--turned", "--allow-outside",
    "--fresh", "--jobs", "--dry-run", "CLDR", "digraph", "badge", "path complexity", "unit",
)  # fmt: skip


def test_the_help_needs_no_dictionary(capsys: pytest.CaptureFixture[str]) -> None:
    for name in (*KINDS, *OTHERS):
        shown = " ".join(told(capsys, name, "--help").split())
        # Measuring is in units; elsewhere the part that repeats was called so.
        known = {"unit"} if name == "measure-strip" else set()
        assert [word for word in JARGON if word in shown and word not in known] == [], name


@pytest.mark.parametrize("command", [[], ["--help"]])
def test_alone_it_shows_what_there_is(
    command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    shown = told(capsys, *command)
    assert shown.startswith("Usage: tablework")
    assert shown.count("\n") > 20
    for name in (*KINDS, *OTHERS):
        assert f"\n  {name} " in shown


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (["cutting", "--stage", "three"], "'--stage': 'three' is no whole number."),
        (["cutting", "--bar-length", "long"], "'--bar-length': 'long' is no number."),
        (["cutting", "--hand", "up"], "'--hand': 'up' is not one of 'left', 'right', 'either'."),
        (["cutting", "--colr"], "No such option: --colr (Possible options: --colour, --force)"),
        (["cuting"], "No such command 'cuting'. Did you mean 'cutting', 'things'?"),
        (["packet", "reedy-pond"], "Missing option '--class'."),
    ],
)
def test_what_cannot_be_understood_is_told_in_one_line(
    command: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert told(capsys, *command, code=2).endswith(f"{message} (see tablework --help)\n")


# --- kinds and skills -----------------------------------------------------------------------------


def test_kinds_and_skills_stand_for_each_other() -> None:
    assert kinds_called("sort-mat") == ("sort-mat",)
    assert kinds_called("matching") == ("trace-match", "shadow-match", "picture-puzzle")
    assert kinds_called("pattern") == ("pattern",)
    assert kinds_called("number") == ("count-cards", "order-cards", "measure-strip")
    assert kinds_called("knitting") == ()
    assert [skill_of(name) for name in KINDS] == [entry.skill for entry in KINDS.values()]
    assert [skill_of(name) for name in SKILLS] == list(SKILLS)


def test_a_kind_will_do_where_a_skill_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys, "guidance", "letter-match") == told(capsys, "guidance", "letters")
    assert told(capsys, "guidance", "Sort-Mat") == told(capsys, "guidance", "sorting")
    assert main(["letter-match", "T", "S", "O", "--out", "page.svg"]) == 0
    capsys.readouterr()
    assert told(capsys, "check", "page.svg", "--stage", "3", "--skill", "Letter-match") == told(
        capsys, "check", "page.svg", "--stage", "3", "--skill", "letters"
    )


def test_a_skill_is_no_command_and_its_pages_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    error = told(capsys, "matching", "--stage", "2", code=2)
    assert "'matching' is a skill; its pages: trace-match, shadow-match" in error
    assert error.count("\n") == 1


def test_a_plan_may_name_a_skill() -> None:
    text = """title = "Pond"
    words = [{ text = "duck", picture = "duck" }]
    plan.monday = ["matching", "cutting", "sorting"]
    """
    (monday,) = parse_theme(text.encode(), "pond.toml", Path()).plan
    assert monday.kinds == ("trace-match", "cutting", "sort-mat")


# --- percent, plurals, names ----------------------------------------------------------------------


@pytest.fixture
def class_list() -> str:
    Path("class.csv").write_text("name,cutting\nBo,2\n", "utf-8")
    return "class.csv"


@pytest.mark.parametrize("spare", ["20", "20%", "20 %", "20.0"])
def test_spare_materials_are_in_percent(
    spare: str, class_list: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from sheets import desk
    from sheets.packet.plan import Choices, Plan

    seen: list[float] = []
    plan = desk.plan_packet

    def noted(theme: object, listed: object, choices: Choices) -> Plan:
        seen.append(choices.spare)
        return plan(theme, listed, choices)  # type: ignore[arg-type]

    monkeypatch.setattr(desk, "plan_packet", noted)
    command = ["packet", "reedy-pond", "--class", class_list, "--out", "p", "--dry-run"]
    assert main([*command, "--spare", spare]) == 0
    assert main(command) == 0
    assert seen == [0.2, 0.1]


@pytest.mark.parametrize(
    ("spare", "message"),
    [
        ("0.2", "'0.2' is no percentage; use 0 to 100, 20 for a share of 0.2"),
        ("2000", "'2000' is no percentage; use 0 to 100"),
        ("-5", "'-5' is no percentage"),
        ("some", "'some' is no percentage"),
        ("nan", "'nan' is no percentage"),
    ],
)
def test_a_share_is_no_percentage(
    spare: str, message: str, class_list: str, capsys: pytest.CaptureFixture[str]
) -> None:
    command = ["packet", "reedy-pond", "--class", class_list, "--out", "p", f"--spare={spare}"]
    error = told(capsys, *command, code=2)
    assert message in error
    assert error.count("\n") == 1


def test_one_page_is_no_pages(class_list: str, capsys: pytest.CaptureFixture[str]) -> None:
    shown = told(
        capsys, "packet", "reedy-pond", "--class", class_list, "--out", "p", "--kinds", "cutting",
        "--days", "monday", "--dry-run",
    )  # fmt: skip
    assert re.search(r"\b1 page\b", shown)
    assert not re.search(r"\b1 (pages|sheets|children)\b", shown)
    assert "1 child, " in shown


def test_a_theme_file_is_found_by_its_name_without_ending(
    class_list: str, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copy(Path(__file__).parents[1] / "sheets/files/themes/reedy-pond.toml", "my-pond.toml")
    error = told(
        capsys, "packet", "my-pond", "--class", class_list, "--out", "p", "--dry-run", code=2
    )
    assert "no theme called 'my-pond'; did you mean my-pond.toml" in error
