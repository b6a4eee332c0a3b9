"""Letters to cut: every capital within the limits, the letter inside its outline, holes not cut.

``python -m tests.test_kind_letters_to_cut`` measures all capitals at all stages on both papers for
both hands (some minutes) and prints what it finds.
"""

from __future__ import annotations

import itertools
import string
from typing import Any

import pytest

from shapes.errors import GlyphError, InputError
from shapes.letters.page_font import FONT_FILE
from shapes.path import BBox, Path
from sheets.files.theme_file import load
from sheets.kinds import KINDS
from sheets.kinds.cutting.letterforms import CAPITAL, THICKER, letterform
from sheets.kinds.making import make_sheet
from sheets.kinds.options import Options
from sheets.kinds.source import Source
from sheets.page.frame import A4, LETTER
from sheets.page.model import Page, Place, Role, Sheet, Stroke, Text
from tests.ink import ink_outside

NAME = "letters-to-cut"
STAGES = range(7)
HOLES = {**dict.fromkeys("ADOPQR", 1), "B": 2}
"""Counters of the capitals: how many rings their shape has, a fact of the Latin alphabet."""
POND = load("reedy-pond")


def made(stage: int, options: Options | None = None, source: Source | None = None,
         **asked: Any) -> Sheet:  # fmt: skip
    chosen = KINDS[NAME].load().choices(**asked)
    return make_sheet(NAME, source or Source(POND), stage, options or Options(), chosen)


def outside(sheet: Sheet) -> list[str]:
    return [finding.sentence() for finding in sheet.findings if finding.outside]


def lines(page: Page, role: Role) -> list[Path]:
    return [p for m in page.marks if isinstance(m, Stroke) and m.role is role for p in m.paths]


def glue_lines(page: Page) -> list[Path]:
    return lines(page, Role.ANSWER_SPACE)


def letters(page: Page, base: bool = False) -> list[Place]:
    """The letters of a page from left to right; the badge is none."""
    found = [m for m in page.marks if isinstance(m, Place) and m.id != "badge"]
    found = [m for m in found if m.id.startswith("base") == base]
    return sorted(found, key=lambda m: m.artwork.bbox.transformed(m.at).x0)


def rings(place: Place) -> list[list[tuple[float, float]]]:
    """The closed lines of a printed letter, page mm."""
    return [p.transformed(place.at).flatten(0.02)
            for m in place.artwork.marks if isinstance(m, Stroke) for p in m.paths]  # fmt: skip


# --- limits ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("stage", [0, 1, 2, 3])
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_straight_stages_keep_the_limits_for_every_other_capital(stage: int, paper: Any) -> None:
    # Stage 0 makes an outline of stage 5 for each letter, which takes a second or two.
    for i, char in enumerate("OLDP" if stage == 0 else string.ascii_uppercase[::2]):
        hand = ("left", "right")[i % 2]
        sheet = made(stage, Options(paper=paper, hand=hand), letter=char)  # type: ignore[arg-type]
        assert outside(sheet) == []
        # From stage 1 on the straight lines run off the paper on purpose.
        assert stage or not any(ink_outside(page, 12.7 - 1e-9) for page in sheet.pages)


@pytest.mark.parametrize(("stage", "chars"), [(4, "AEMOQW"), (5, "ABDGJLO"), (6, "BDILOSTY")])
def test_outlines_keep_the_limits(stage: int, chars: str) -> None:
    for i, char in enumerate(chars):
        options = Options(paper=(LETTER, A4)[i % 2], hand=("left", "right")[i // 2 % 2])
        assert outside(made(stage, options, letter=char)) == []


@pytest.mark.parametrize("stage", STAGES)
def test_words_and_needs_keep_the_limits(stage: int) -> None:
    for options in (
        Options(paper=A4, ink="saver"),
        Options(hand="left", needs=("low-vision",)),
    ):
        assert outside(made(stage, options, word="owl")) == []
    assert outside(made(stage, Options(), letter="O", fill=True)) == []


# --- what is on the pages -------------------------------------------------------------------------


def test_a_printed_letter_holds_the_one_that_freetype_draws() -> None:
    """Every dark dot of the font as FreeType draws it (through Pillow) lies inside our lines."""
    import shapely
    from PIL import Image, ImageDraw, ImageFont

    size = 400
    font = ImageFont.truetype(str(FONT_FILE), size)
    for char in "ABGMOQRSag":
        form = letterform(char)
        flat = [path.flatten(0.02) for path in form.shapes[0].paths]
        body = shapely.union_all([shapely.Polygon(ring) for ring in flat])
        image = Image.new("L", (size, size), 0)
        ImageDraw.Draw(image).text((50, 300), char, font=font, fill=255, anchor="ls")
        top = font.getbbox("H", anchor="ls")[1]
        scale = CAPITAL / -top
        dark = [(x, y) for y in range(0, size, 3) for x in range(0, size, 3)
                if image.getpixel((x, y)) == 255]  # fmt: skip
        points = shapely.points([((x - 50) * scale, (300 - y) * scale) for x, y in dark])
        assert len(points) > 300
        assert shapely.covers(body, points).all()
        # Grown by as much all round: nothing of it is farther off the font's own edge.
        height = body.bounds[3] - body.bounds[1]
        drawn = (font.getbbox(char, anchor="ls")[3] - font.getbbox(char, anchor="ls")[1]) * scale
        assert height == pytest.approx(drawn + 2.0 * THICKER, abs=1.0)


@pytest.mark.parametrize("char", string.ascii_uppercase)
def test_counters_are_drawn(char: str) -> None:
    assert len(letterform(char).shapes[0].paths) == 1 + HOLES.get(char, 0)


@pytest.mark.parametrize("stage", [4, 5, 6])
@pytest.mark.parametrize("char", "BO")
def test_the_letter_is_inside_its_one_outline_and_its_holes_are_not_cut(
    stage: int, char: str
) -> None:
    import shapely

    cut, base = made(stage, letter=char).pages
    (outline,) = lines(cut, Role.CUT)
    (letter,) = letters(cut)
    ring = shapely.Polygon(outline.flatten(0.02))
    printed = [shapely.Polygon(r) for r in rings(letter)]
    assert len(printed) == 1 + HOLES[char]
    width = next(m.width for m in cut.marks if isinstance(m, Stroke) and m.role is Role.CUT)
    clear = {4: 6.0, 5: 5.0, 6: 3.0}[stage]
    for part in printed:
        assert ring.contains(part)
        assert ring.exterior.distance(part) >= clear + width / 2.0
    (glue,) = glue_lines(base)
    assert glue == outline


def test_a_letter_stands_in_the_rectangle_that_straight_cuts_leave() -> None:
    for stage, wide in ((2, 101.6), (3, 152.4)):
        cut, base = made(stage, letter="R").pages
        first, second = sorted(lines(cut, Role.CUT), key=lambda p: p.bbox.y0)
        assert first.length == pytest.approx(wide) == second.length
        (tile,) = glue_lines(base)
        assert tile.bbox == BBox(first.bbox.x0, first.bbox.y0, first.bbox.x1, second.bbox.y1)
        (letter,) = letters(cut)
        box = letter.artwork.bbox.transformed(letter.at)
        assert tile.bbox.x0 < box.x0 < box.x1 < tile.bbox.x1
        assert first.bbox.y0 < box.y0 < box.y1 < second.bbox.y0


@pytest.mark.parametrize("stage", [2, 3])
@pytest.mark.parametrize(("char", "long", "short"), [
    ("E", 1, 3), ("F", 1, 2), ("H", 2, 1), ("L", 1, 1), ("T", 2, 0),
])  # fmt: skip
def test_strips_are_those_the_letter_is_laid_with(
    char: str, long: int, short: int, stage: int
) -> None:
    """Shapely cuts the panel along the middles of all lines; the base has one box a strip."""
    import shapely

    sheet = made(stage, Options(paper=A4, hand="left"), letter=char)
    cut, base = sheet.pages
    assert outside(sheet) == []
    grey = [p for m in cut.marks if isinstance(m, Stroke) and m.id.startswith("adult-cut")
            for p in m.paths]  # fmt: skip
    seen = [shapely.LineString(p.flatten()) for p in [*grey, *lines(cut, Role.CUT)]]
    noded = shapely.union_all(seen, grid_size=1e-6)
    pieces = shapely.polygonize([noded]).geoms
    wide = {2: 38.1, 3: 35.4}[stage]
    sizes = sorted(tuple(sorted((round(x1 - x0, 3), round(y1 - y0, 3))))
                   for x0, y0, x1, y1 in (piece.bounds for piece in pieces))  # fmt: skip
    laid = sorted(tuple(sorted((round(p.bbox.width, 3), round(p.bbox.height, 3))))
                  for p in glue_lines(base))  # fmt: skip
    assert laid == sorted([(wide, 152.4)] * long + [(wide, 76.2)] * short)
    # Short strips come in pairs: one may be left over.
    assert sizes == sorted(laid + [(wide, 76.2)] * (short % 2))
    boxes = [shapely.box(*_corners(p.bbox)) for p in glue_lines(base)]
    assert shapely.union_all(boxes).area == pytest.approx(sum(box.area for box in boxes))
    assert isinstance(shapely.union_all(boxes), shapely.Polygon)


def _corners(box: BBox) -> tuple[float, float, float, float]:
    return box.x0, box.y0, box.x1, box.y1


@pytest.mark.parametrize("word", ["go", "owl", "frog", "heron"])
@pytest.mark.parametrize("stage", [2, 3])
def test_tiles_spell_the_word_and_cover_the_panel(word: str, stage: int) -> None:
    if stage == 2 and len(word) > 4:
        with pytest.raises(InputError, match="has 5 letters, more than the 4 of stage 2"):
            made(stage, word=word)
        return
    sheet = made(stage, word=word)
    (page,) = sheet.pages
    assert outside(sheet) == []
    cuts = sorted(path.bbox.x0 for path in lines(page, Role.CUT))
    assert len(cuts) == len(word) - 1
    assert [m.artwork.alt for m in letters(page)] == list(word)
    assert [m.artwork.alt for m in letters(page, base=True)] == list(word)
    boxes = sorted((path.bbox for path in glue_lines(page)), key=lambda box: box.x0)
    assert [box.x0 for box in boxes[1:]] == pytest.approx(cuts)
    assert sum(box.width for box in boxes) == pytest.approx(170.0)
    assert {round(box.height, 6) for box in boxes} == {76.2}
    # Every letter lies on its own tile, above and below.
    for shown, box in itertools.chain(
        zip(letters(page), boxes, strict=True), zip(letters(page, base=True), boxes, strict=True)
    ):
        ink = shown.artwork.bbox.transformed(shown.at)
        assert box.x0 < ink.x0 < ink.x1 < box.x1
    assert sheet.answers[0].text == f"the word {word}: {', '.join(word)}"


def test_stage_0_has_nothing_for_the_child_to_cut() -> None:
    sheet = made(0, letter="O")
    assert not any(lines(page, role) for page in sheet.pages for role in (Role.CUT, Role.ENTRY))
    adult, base = sheet.pages
    outline = next(m for m in adult.marks if isinstance(m, Stroke) and m.id == "adult-outline")
    assert list(outline.paths) == glue_lines(base)
    assert [m.name for m in sheet.materials if "scissors" in m.name] == []
    assert sheet.answers[0].text == "the letter O"


def test_stage_1_has_snips_and_the_letter_to_fill_on_one_page() -> None:
    (page,) = made(1, letter="S").pages
    assert len(lines(page, Role.CUT)) == 8
    (letter,) = letters(page, base=True)
    assert max(path.bbox.y1 for path in lines(page, Role.CUT)) > 190.0
    assert letter.artwork.bbox.transformed(letter.at).height > 120.0


def test_a_theme_gives_one_letter_to_all_stages_and_fills_when_asked() -> None:
    titles = {made(stage, Options(seed=5), fill=True).title for stage in STAGES}
    assert len(titles) == 1
    first = {made(3, Options(seed=seed), fill=True).title[-1] for seed in range(40)}
    assert first == {w.text[0].upper() for w in POND.words}
    sheet = made(4, Options(seed=5), fill=True)
    assert not any(m.role is Role.CUT for m in sheet.pages[0].marks)
    assert len(letters(sheet.pages[0], base=True)) == 1
    for seed in range(20):
        title = made(2, Options(seed=seed), word="theme", fill=True).title.removeprefix("The word ")
        assert title in {w.text for w in POND.words}
        assert 2 <= len(title) <= 4


def test_all_stages_have_the_same_title() -> None:
    heads = {
        tuple(m.text for m in made(stage, letter="L").pages[0].marks
              if isinstance(m, Text) and m.id == "title")
        for stage in (1, 2, 3, 4, 6)
    }  # fmt: skip
    assert heads == {("The letter L",)}


@pytest.mark.parametrize(
    ("words", "asked", "message"),
    [
        ((), {"letter": "AB"}, "`letter`: 'AB' is not one letter; give one, such as B"),
        ((), {"letter": "?"}, "`letter`: '?' is not one letter"),
        ((), {"letter": "A", "word": "owl"}, "`letter`: a letter and a word; give only one"),
        ((), {"word": "a b"}, "`word`: 'a b' is no word of letters; write letters only"),
        ((), {"word": "tortoise"}, "`word`: 'tortoise' has 8 letters, more than the 6 of stage 5"),
        (("duck.svg",), {}, "words: 'duck.svg' is no word of letters"),
        (("a", "b"), {}, "words: 2 words for one sheet; give one word or letter"),
    ],
)
def test_bad_choices(words: tuple[str, ...], asked: dict[str, Any], message: str) -> None:
    source = Source(words=words) if words else Source(POND)
    with pytest.raises(InputError) as caught:
        made(5, source=source, **asked)
    assert str(caught.value).startswith(message)


def test_nothing_to_cut_and_no_short_word() -> None:
    from sheets.files.theme_file import parse

    with pytest.raises(InputError, match="no letter and no word; name a theme or a word"):
        made(5, source=Source())
    long = b'title = "Long"\n[[words]]\ntext = "tortoise"\npicture = "1F422"\n'
    theme = parse(long, "long.toml", __import__("pathlib").Path())
    with pytest.raises(InputError, match="Long has no word of 2 to 4 letters; name a word"):
        made(2, source=Source(theme), word="theme")


def test_a_letter_of_another_script_is_one_clear_line() -> None:
    with pytest.raises(GlyphError, match="write it in Latin or Cyrillic letters"):
        made(5, letter="ب")
    assert outside(made(2, letter="Ж")) == []


def test_low_vision_tiles_that_do_not_fit() -> None:
    low = Options(needs=("low-vision",))
    with pytest.raises(InputError, match="'heron' has 5 letters, and 4 tiles fit side by side"):
        made(3, low, word="heron")
    assert outside(made(3, low, word="frog")) == []


if __name__ == "__main__":
    count, found = 0, []
    for char, paper, hand, stage in itertools.product(
        string.ascii_uppercase, (LETTER, A4), ("left", "right"), STAGES
    ):
        page_options = Options(paper=paper, hand=hand)  # type: ignore[arg-type]
        missed = outside(made(stage, page_options, letter=char))
        count += 1
        found += [f"{char} {paper.name} {hand} {stage}: {line}" for line in missed]
    print(f"{count} sheets, {len(found)} values outside guidance", *found, sep="\n")
