"""Columns as teachers name them, where they put them, and how their spreadsheet saved them."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from sheets.files import columns
from sheets.files.class_list import COLUMNS, ClassList, ClassListError, parse
from sheets.files.columns import column_of, find_header, hand_of, plain

DATA = Path(columns.__file__).with_name("columns.toml")


def read(text: str) -> ClassList:
    return parse(text.encode(), "class.csv")


def problem(content: str | bytes) -> str:
    with pytest.raises(ClassListError) as caught:
        parse(content if isinstance(content, bytes) else content.encode(), "class.csv")
    return caught.value.problems[0]


# --- names ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "header",
    [
        "name,hand,cutting,letters,pattern,needs,language",
        "First name,Hand,Scissors,LETTERS,Patterns,Needs,Language",
        "Vorname,Händigkeit,Schneiden,Buchstaben,Muster,Bedarf,Sprache",
        "Prénom,Main,Découpage,Lettres,Motifs,Besoins,Langue",
        "Nombre,Mano,Recortar,Letras,Patrón,Necesidades,Idioma",
        "Nome,Mano,Ritaglio,Lettere,Schema,Bisogni,Lingua",
        "Nome,Mão,Recorte,Letras,Padrão,Necessidades,Idioma",
        "PRENOM,MAIN,DECOUPAGE,LETTRES,MOTIFS,BESOINS,LANGUE",
        "first_name,HAND,cut-ting,let ters,pat_tern,needs:,(language)",
    ],
)
def test_columns_in_six_languages(header: str) -> None:
    (child,) = read(f"{header}\nBo,L,2,3,4,low-vision,es\n").children

    assert (child.name, child.hand, child.needs, child.language) == (
        "Bo", "left", ("low-vision",), "es",
    )  # fmt: skip
    assert child.stages == {"cutting": 2, "letters": 3, "pattern": 4}


def test_no_name_stands_for_two_columns_or_hands() -> None:
    data = tomllib.loads(DATA.read_text("utf-8"))

    assert set(data["columns"]) <= set(COLUMNS)
    for table in data.values():
        names = [plain(name) for row in table.values() for name in dict.fromkeys(map(plain, row))]
        assert len(set(names)) == len(names)
    for column, names in data["columns"].items():
        assert all(column_of(name) == column for name in names)
        assert column_of(column) == column
    assert set(data["columns"]) == set(COLUMNS)


@pytest.mark.parametrize(
    ("word", "hand"),
    [("G", "left"), ("gauche", "left"), ("Links", "left"), ("izquierda", "left"), ("S", "left"),
     ("esquerda", "left"), ("D", "right"), ("droite", "right"), ("Rechts", "right"),
     ("derecha", "right"), ("destra", "right"), ("direita", "right"), ("?", "either"),
     ("", "either"), ("beide", "either"), ("E", None), ("up", None)],
)  # fmt: skip
def test_hands_in_six_languages(word: str, hand: str | None) -> None:
    assert hand_of(word) == hand


def test_a_first_name_is_read_rather_than_a_family_name() -> None:
    listed = read("Nom,Prénom,Main\nAster,Bo,G\n")

    assert [child.name for child in listed.children] == ["Bo"]
    assert listed.warnings == ('class.csv: columns not read: "Nom" ("Prénom" is read for name)',)


def test_a_column_that_is_there_twice_is_told() -> None:
    listed = read("name,Schere,scissors,Cutting\nBo,1,2,3\n")
    assert listed.children[0].stages == {"cutting": 3}
    assert listed.warnings == (
        'class.csv: columns not read: "Schere" ("Cutting" is read for cutting), "scissors" '
        '("Cutting" is read for cutting)',
    )
    assert problem("name,hand,HAND\nBo,L,R\n") == (
        "class.csv line 1, column 3: column hand is there twice; drop one"
    )


# --- where they are -------------------------------------------------------------------------------


def test_columns_of_the_teachers_own_are_not_read_and_told_in_one_line() -> None:
    listed = read("name,cuting,Birthday,tagg,cutting\nBo,9,2021,x,2\n")

    assert listed.children[0].stages == {"cutting": 2}
    assert listed.warnings == (
        'class.csv: columns not read: "cuting" (did you mean cutting?), "Birthday", "tagg" (did '
        "you mean tag?)",
    )


def test_of_many_such_columns_a_few_are_named() -> None:
    own = [f"own {n}" for n in range(12)]

    (told,) = read(",".join(["name", *own]) + "\nBo\n").warnings

    assert told == "class.csv: columns not read: " + ", ".join(f'"{n}"' for n in own[:6]) + (
        " and 6 more"
    )


@pytest.mark.parametrize(
    ("above", "told"),
    [
        ("Class 2 of the house by the pond\n", "1 line above the names of the columns (line 2)"),
        ("Class 2,,\n\n,,\nspring;term\n\n", "2 lines above the names of the columns (line 6)"),
        ("\n\n,,\n", ""),
        ("# note\n", ""),
        ("x\n" * 9, "9 lines above the names of the columns (line 10)"),
    ],
)
def test_the_line_of_names_may_stand_below_a_title(above: str, told: str) -> None:
    listed = read(above + "name,cutting\nBo,2\n")

    assert [child.name for child in listed.children] == ["Bo"]
    assert listed.header == above.count("\n") + 1
    assert listed.warnings == ((f"class.csv: {told} not read",) if told else ())


def test_a_line_of_names_further_down_is_not_looked_for() -> None:
    assert problem("x\n" * 10 + "name,cutting\nBo,2\n").startswith(
        "class.csv line 1: no column called name; the first line names the columns: name, tag,"
    )


def test_a_child_called_like_a_column_is_a_child() -> None:
    assert [child.name for child in read("name\nName\nHand\n").children] == ["Name", "Hand"]
    assert find_header([("name", "hand"), ("Nom", "L")]).row == 0


def test_too_many_columns_are_told() -> None:
    assert problem(",".join(["name", *["x"] * 250]) + "\nBo\n") == (
        "class.csv line 1: 251 columns; leave 200 at most"
    )


def test_many_faults_are_told_to_twenty_and_counted() -> None:
    with pytest.raises(ClassListError) as caught:
        read("name,cutting\n" + "Bo,9\n" * 22)
    assert len(caught.value.problems) == 21
    assert caught.value.problems[-1] == "and 2 more problems"
    assert str(caught.value).startswith("22 problems, the first: class.csv line 2, column 2")

    with pytest.raises(ClassListError) as caught:
        read("name,cutting\n" + "Bo,9\n" * 21)
    assert caught.value.problems[-1] == "and 1 more problem"

    with pytest.raises(ClassListError) as caught:
        read("name,cutting\n" + "Bo,9\n" * 20)
    assert len(caught.value.problems) == 20


@pytest.mark.parametrize("name", ["2026-03-01", "1.3.2026", "03/01/26", "2026-03-01 00:00:00"])
def test_a_date_is_no_name(name: str) -> None:
    assert problem(f"name\n{name}\n") == (
        f'class.csv line 2, column 1 "name": "{name}" is a date, which the spreadsheet makes of '
        "some texts; format the cell as text and type the name again"
    )


@pytest.mark.parametrize("name", ["May", "3", "3-4", "J.-P.", "Mia 2"])
def test_what_only_looks_like_a_date_is_a_name(name: str) -> None:
    assert read(f"name\n{name}\n").children[0].name == name


def test_a_tag_that_is_the_name_is_told() -> None:
    assert read("name,tag\nBo,bo\n").warnings == (
        "class.csv line 2 Bo: the tag is the name, so the adult's pages show it; give another tag "
        "or none",
    )


# --- how they were saved --------------------------------------------------------------------------


def test_windows_1252_is_read_and_told_with_a_cell_to_look_at() -> None:
    content = "name;hand\r\nPip;L\r\nZoë – „Zo“;R\r\n".encode("cp1252")

    listed = parse(content, "class.csv")

    assert [child.name for child in listed.children] == ["Pip", "Zoë – „Zo“"]
    assert listed.warnings == (
        'class.csv line 3: read as Windows-1252, so this cell reads "Zoë – „Zo“"; if that is '
        "wrong, in the spreadsheet choose Save as, .xlsx or CSV UTF-8",
    )


def test_latin_1_is_a_part_of_windows_1252() -> None:
    """All letters of ISO-8859-1, of which the upper half is that of Windows-1252."""
    for byte in range(0xC0, 0x100):
        if byte not in (0xD7, 0xF7):
            content = b"name\nA" + bytes([byte]) + b"a\n"
            assert parse(content, "c").children[0].name == "A" + chr(byte) + "a"


def test_bytes_in_no_encoding_of_ours_are_told() -> None:
    assert problem(b"name\nPip\nZo\x81\n") == (
        "class.csv line 3: neither UTF-8 nor Windows-1252; in the spreadsheet choose Save as, "
        ".xlsx or CSV UTF-8"
    )


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_read_and_told(encoding: str) -> None:
    listed = parse("name\thand\nZoë\tR\nЯн\tL\n".encode(encoding), "class.txt")

    assert [(child.name, child.hand) for child in listed.children] == [
        ("Zoë", "right"),
        ("Ян", "left"),
    ]
    assert listed.warnings == ("class.txt: read as UTF-16",)


def test_broken_utf_8_and_utf_16_with_a_mark_are_told() -> None:
    told = (
        "class.csv line 3: bytes that are not in the encoding of the rest; in the spreadsheet "
        "choose Save as, .xlsx or CSV UTF-8"
    )
    assert problem(b"\xef\xbb\xbfname\nPip\nZo\xff\n") == told
    assert problem(b"\xff\xfe" + "name\nPip\nZ".encode("utf-16-le") + b"\x00\xdc\n\0") == told


def test_a_zero_byte_is_told() -> None:
    assert problem(b"name\nPi\0p\n") == (
        "class.csv line 2: holds a zero byte, so it is no text; in the spreadsheet choose Save as, "
        ".xlsx or CSV UTF-8"
    )


def test_a_cell_beyond_all_measure_is_told() -> None:
    assert problem('name\n"' + "x" * 140_000 + '"\n') == (
        'class.csv line 2: a cell of more than 131072 signs; most likely a quote mark (") is not '
        "closed"
    )


def test_a_semicolon_list_with_commas_in_its_title() -> None:
    text = "Class 2, spring, 2026\nname;needs;cutting\nBo;low-vision,not-cutting;2\n"

    (child,) = read(text).children

    assert child.needs == ("low-vision", "not-cutting")
