"""Pictures to colour alike: closed areas, wide enough, neighbours apart, hatches, refusals.

Areas are checked on the rendered page: what a crayon can reach from a point without crossing ink.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path as FilePath

import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from shapes.errors import InputError, PictureError
from sheets.files.theme_file import load
from sheets.kinds.colour_copy.areas import Areas, share, widest
from sheets.kinds.colour_copy.task import ColourCopyTask
from sheets.kinds.options import Options
from sheets.kinds.settings import setting
from sheets.page import palette
from sheets.page.frame import A4, LETTER
from sheets.page.model import BLACK, Fill, Mark, Place, Role, Sheet, Stroke, Text
from sheets.write.pdf import write_pdf
from tests.all_themes import FIRST_THREE
from tests.making import colour_copy, make, pattern

from_words = colour_copy.from_words

STAGES = range(7)
SEEDS = range(334)
"""With three themes a thousand pages a stage."""
DPI = 72.0
Bitmap = npt.NDArray[np.bool_]


def task_of(name: str, stage: int, options: Options) -> ColourCopyTask:
    task = pattern.from_theme(load(name), stage, options, form="colour-copy")
    assert isinstance(task, ColourCopyTask)
    return task


@cache
def chosen(name: str, stage: int, seed: int) -> ColourCopyTask:
    return task_of(name, stage, Options(seed=seed))


@cache
def sheet_of(name: str, stage: int, seed: int = 0) -> Sheet:
    options = Options(seed=seed)
    return make(task_of(name, stage, options), options)


def fills(marks: Sequence[Mark], prefix: str) -> dict[str, Fill]:
    """The first fill of every id: the colour of an area; those after it are its dots."""
    found: dict[str, Fill] = {}
    for mark in marks:
        if isinstance(mark, Fill) and mark.id.startswith(prefix):
            found.setdefault(mark.id, mark)
    return found


def polygon(mark: Fill) -> Polygon:
    rings = [path.flatten(0.05) for path in mark.paths]
    return Polygon(rings[0], rings[1:])


def colour_of(mark: Fill) -> str:
    return dict(mark.data)["colour"]


# --- the same colours, and one answer -------------------------------------------------------------


@pytest.mark.parametrize("name", FIRST_THREE)
@pytest.mark.parametrize("stage", range(1, 7))
def test_the_sample_shows_the_keys_colours(name: str, stage: int) -> None:
    sheet = sheet_of(name, stage)
    (page,) = sheet.pages
    (key,) = sheet.key
    sample = fills(page.marks, "area-")
    solved = fills(key.marks, "area-answer-")
    answer = sheet.parameters["answer"]

    assert {area: colour_of(mark) for area, mark in sample.items()} == answer
    assert {k.replace("answer-", ""): colour_of(mark) for k, mark in solved.items()} == answer
    for mark in (*sample.values(), *solved.values()):
        assert mark.colour == palette.colours()[colour_of(mark)].hex


@pytest.mark.parametrize("stage", range(1, 7))
def test_the_blank_pictures_are_those_of_the_sample(stage: int) -> None:
    marks = sheet_of("reedy-pond", stage).pages[0].marks
    blank = [m for m in marks if isinstance(m, Place) and m.role is Role.TARGET]
    shown = [m for m in marks if isinstance(m, Place) and m.id.startswith("sample-")]
    assert [m.artwork.alt for m in blank] == [m.artwork.alt for m in shown]
    for below, above in zip(blank, shown, strict=True):
        assert below.at.scale >= above.at.scale
        assert not any(isinstance(m, Fill) and m.colour != "#000000" for m in below.artwork.marks)


@pytest.mark.parametrize("name", FIRST_THREE)
def test_neighbours_differ_for_every_seed(name: str) -> None:
    for stage, seed in itertools.product(STAGES, SEEDS):
        for one in chosen(name, stage, seed).pictures:
            for a, b in touching(one.areas):
                assert one.colours[a] != one.colours[b]


def touching(areas: Areas) -> list[tuple[int, int]]:
    """Neighbours told by distance alone: less than 4.5 mm apart along more than 20 mm."""
    key = (areas.picture.id, areas.longest_mm, len(areas.regions))
    if key not in _TOUCHING:
        _TOUCHING[key] = [
            (i, j)
            for (i, a), (j, b) in itertools.combinations(enumerate(areas.regions), 2)
            if a.polygon.buffer(4.5).intersection(b.polygon.boundary).length > 20.0
        ]
    return _TOUCHING[key]


_TOUCHING: dict[tuple[str, float, int], list[tuple[int, int]]] = {}


@cache
def narrowest(areas: Areas) -> float:
    return widest(areas)


@pytest.mark.parametrize("name", FIRST_THREE)
def test_numbers_keep_to_the_stage(name: str) -> None:
    for stage, seed in itertools.product(STAGES, SEEDS):
        task = chosen(name, stage, seed)
        assert 2 <= len(task.colours) <= int(setting("colour-copy", stage, "colours") or 0)
        assert set(task.colours) == {key for one in task.pictures for key in one.colours}
        assert len(task.pictures) <= 2
        for one in task.pictures:
            assert len(one.colours) == len(one.areas.regions)
            assert len(one.colours) <= int(setting("colour-copy", stage, "areas") or 0)
            assert (
                narrowest(one.areas)
                >= float(setting("colour-copy", stage, "area_width") or 0) - 0.1
            )
            assert 0.0 < share(one.areas) < 1.0


@pytest.mark.parametrize("name", FIRST_THREE)
def test_colours_stay_apart_for_every_eye_and_in_grey(name: str) -> None:
    """Every page's colours lie within one set that is measured for both (see palette.toml)."""
    measured = [
        {colour.key for colour in one.colours}
        for size in (2, 3, 4)
        for one in palette.palettes(size, colour_printer=False)
    ]
    for stage, seed in itertools.product(STAGES, SEEDS):
        task = chosen(name, stage, seed)
        assert any(set(task.colours) <= one for one in measured)


def test_black_and_white_leave_the_largest_area_and_the_eyes_alone() -> None:
    for name, stage, seed in itertools.product(FIRST_THREE, STAGES, SEEDS):
        for one in chosen(name, stage, seed).pictures:
            assert one.colours[0] not in ("black", "white")
            for region, key in zip(one.areas.regions, one.colours, strict=True):
                if region.polygon.interiors:
                    assert key not in ("black", "white")


# --- on paper -------------------------------------------------------------------------------------


def paper_white(sheet: Sheet) -> Bitmap:
    """Where the child's page is white, in rows from the top."""
    data = write_pdf(sheet.pages[:1], title="t", language="en")
    with pypdfium2.PdfDocument(data) as pdf:
        grey = pdf[0].render(scale=DPI / 72.0, grayscale=True).to_numpy()
    return np.asarray(grey.reshape(grey.shape[0], grey.shape[1]) > 127)


def reached(white: Bitmap, x: int, y: int) -> Bitmap:
    """The white dots that are joined with one of them, side by side."""
    found = np.zeros_like(white)
    assert white[y, x]
    found[y, x] = True
    while True:
        grown = found.copy()
        grown[1:] |= found[:-1]
        grown[:-1] |= found[1:]
        grown[:, 1:] |= found[:, :-1]
        grown[:, :-1] |= found[:, 1:]
        grown &= white
        if (grown == found).all():
            return found
        found = grown


def ink_of(marks: Sequence[Mark]) -> BaseGeometry:
    """What the drawings of a page leave dark, from their lines and fills."""
    dark = []
    for mark in marks:
        if not isinstance(mark, Place):
            continue
        for part in mark.artwork.marks:
            for path in part.paths:
                points = [mark.at.apply(point) for point in path.flatten(0.01)]
                if isinstance(part, Fill):
                    dark += [Polygon(points).buffer(0.0)] if part.colour == BLACK else []
                    continue
                line = LineString([*points, points[0]] if path.closed else points)
                dark.append(line.buffer(part.width * mark.at.scale / 2.0))
    return shapely.union_all(dark)


@pytest.mark.parametrize(
    ("name", "stage"), [("reedy-pond", 1), ("bean-row-garden", 4), ("tide-side-harbour", 6)]
)
def test_a_crayon_stays_within_each_area(name: str, stage: int) -> None:
    """White dots that are joined, counted on a rendering, against the key's area without the lines
    that are drawn on it; a quarter of a dot all along the edge may be counted wrongly."""
    sheet = sheet_of(name, stage)
    white = paper_white(sheet)
    ink = ink_of(sheet.pages[0].marks)
    marks = sheet.key[0].marks  # the key has the areas where the child's page is blank
    height = LETTER.height
    dots: list[Bitmap] = []
    for mark in fills(marks, "area-answer-").values():
        area = max(shapely.get_parts(polygon(mark) - ink), key=lambda part: part.area)
        middle = shapely.maximum_inscribed_circle(area).coords[0]
        x, y = (round(v / 25.4 * DPI) for v in (middle[0], height - middle[1]))
        inside = reached(white, x, y)
        assert not inside[0].any()  # not out to the edge of the paper
        dot = 25.4 / DPI
        assert inside.sum() * dot**2 == pytest.approx(area.area, abs=area.length * dot / 4.0)
        assert not any((inside & other).any() for other in dots)
        dots.append(inside)
    answer = sheet.parameters["answer"]
    assert isinstance(answer, dict)
    assert len(dots) == len(answer)


# --- looks ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", FIRST_THREE)
@pytest.mark.parametrize("stage", STAGES)
def test_every_page_is_within_guidance(name: str, stage: int) -> None:
    # The work area is the same on both papers.
    options = Options(paper=A4 if stage % 2 else LETTER, seed=2, hand="left", name="Zuzë")
    sheet = make(task_of(name, stage, options), options)
    assert [f.sentence() for f in sheet.findings if f.outside] == []
    assert len(sheet.pages) == (2 if stage == 0 else 1)
    words = " ".join(m.text for p in sheet.pages for m in p.marks if isinstance(m, Text))
    assert not re.search(r"stage|level|score|easy|hard|\bsafe", words, re.I)


@pytest.mark.parametrize(("language", "words"), [("en", {"orange", "blue"}), ("es", None)])
def test_the_key_of_colours_has_word_swatch_and_hatch(
    language: str, words: set[str] | None
) -> None:
    options = Options(seed=0, language=language)
    task = task_of("reedy-pond", 4, options)
    (page,) = make(task, options).pages
    shown = {m.id: m for m in page.marks if isinstance(m, Text) and m.id.startswith("word-")}
    names = {key: palette.colours()[key].names[language] for key in task.colours}
    assert {m.removeprefix("word-"): t.text for m, t in shown.items()} == names
    assert all(text.size_pt >= 18.0 for text in shown.values())
    if words is not None:
        assert set(names.values()) == set(task.colours)
    for key in task.colours:
        assert colour_of(fills(page.marks, f"swatch-{key}")[f"swatch-{key}"]) == key


def test_every_colour_has_its_own_hatch_in_the_sample() -> None:
    for name, stage in itertools.product(FIRST_THREE, range(1, 7)):
        sheet = sheet_of(name, stage)
        looks: dict[str, object] = {}
        for mark in fills(sheet.pages[0].marks, "swatch-").values():
            hatch = [m for m in sheet.pages[0].marks if m.id == mark.id and m is not mark]
            looks[colour_of(mark)] = tuple(
                (type(m).__name__, m.paths[0].start, m.paths[-1].length)
                for m in hatch
                if isinstance(m, (Fill, Stroke))
            )
        solid = [key for key in looks if key in ("black", "white")]
        hatched = {key: look for key, look in looks.items() if key not in solid}
        assert all(len(look) == 2 for look in hatched.values() if isinstance(look, tuple))
        assert len(set(map(str, hatched.values()))) == len(hatched)


def test_saver_ink_and_low_vision() -> None:
    options = Options(ink="saver", needs=("low-vision", "colour-vision"))
    for stage in range(1, 7):
        task = task_of("tide-side-harbour", stage, options)
        assert len(task.pictures) <= 2
        assert len(task.colours) <= 3
        (page,) = make(task, options).pages
        for mark in fills(page.marks, "area-").values():
            key = colour_of(mark)
            assert (mark.colour == palette.colours()[key].hex) == (key in ("black", "white"))
        for blank in page.marks:
            if isinstance(blank, Place) and blank.role is Role.TARGET:
                lines = [m for m in blank.artwork.marks if isinstance(m, Stroke)]
                # 2 mm, rounded to a hundredth of a unit of the drawing.
                least = 2.0 - 0.0051 * blank.at.scale
                assert all(m.width * blank.at.scale >= least for m in lines)


def test_stage_0_lays_like_on_like() -> None:
    for seed in range(20):
        options = Options(seed=seed, paper=A4)
        sheet = make(task_of("bean-row-garden", 0, options), options)
        mat, tiles = sheet.pages
        places = [colours(mat.marks, f"area-{i}-") for i in (1, 2)]
        cards = [colours(tiles.marks, f"area-card-{i}-") for i in (1, 2)]
        # The two differ in every area, so each tile has one place.
        assert all(a != b for a, b in zip(*places, strict=True))
        assert sheet.parameters["answer"] == {
            f"card-{i}": f"place-{places.index(card) + 1}" for i, card in enumerate(cards, start=1)
        }
        boxes = [m.paths[0].bbox for m in tiles.marks if isinstance(m, Fill) and m.id == "card-1"]
        assert (boxes[0].width, boxes[0].height) == pytest.approx((80.0, 80.0))
        assert sheet.preparation[0].startswith("An adult cuts the tiles beforehand: 5 straight")


def colours(marks: Sequence[Mark], prefix: str) -> list[str]:
    return [colour_of(mark) for mark in fills(marks, prefix).values()]


def test_the_same_seed_gives_the_same_sheet() -> None:
    options = Options(seed=5)
    one, other = (make(task_of("reedy-pond", 5, options), options) for _ in range(2))
    assert one == other
    seeds = {str(sheet_of("reedy-pond", 3, seed).parameters["answer"]) for seed in range(8)}
    assert len(seeds) > 2


# --- pictures one by one --------------------------------------------------------------------------


def test_house_and_turtle_by_name() -> None:
    options = Options()
    task = from_words(["house", "turtle"], 6, options)
    sheet = make(task, options)
    assert task.title == "Same colours"
    assert sheet.parameters["pictures"] == [one.picture.name for one in task.pictures]
    assert [f.sentence() for f in sheet.findings if f.outside] == []


def test_small_gaps_are_closed_and_told(tmp_path: FilePath) -> None:
    file = tmp_path / "window.svg"
    line = 'fill="none" stroke="#000" stroke-width="2"'
    # A window with a gap of 0.3 units in each side wall: about 1 mm on the page.
    path = "M0 14V0h40v14M40 14.3V30h-40V14.3M20 0v30"
    file.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg"><path {line} stroke-linecap="butt" '
        f'd="{path}"/></svg>'
    )
    options = Options()
    task = from_words([str(file)], 3, options)
    assert task.pictures[0].areas.closed_gaps == 1.5
    assert task.remarks == ("Lines with small gaps, to be closed with a pen first: window.",)
    sheet = make(task, options)
    assert sheet.parameters["closed_gap_mm"] == 1.5
    assert sheet.preparation == task.remarks


def test_paint_over_lines_stays_on_top(tmp_path: FilePath) -> None:
    """A coloured drawing of one's own: its paint becomes white, and what it covers stays hidden."""
    file = tmp_path / "card.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><g stroke="#000" stroke-width="2">'
        '<path fill="none" d="M-10 10h40"/><path fill="#ffcc00" d="M0 0h20v20h-20z"/>'
        '<path fill="#00ccff" d="M20 0h20v20h-20z"/></g></svg>'
    )
    options = Options()
    task = from_words([str(file)], 2, options)
    (page,) = make(task, options).pages
    (blank,) = (m for m in page.marks if isinstance(m, Place) and m.role is Role.TARGET)
    assert {m.colour for m in blank.artwork.marks if isinstance(m, Fill)} == {"#ffffff"}
    ids = [m.id for m in page.marks if m.id.startswith(("sample-", "area-"))]
    assert ids[0] == "sample-1"


@pytest.mark.parametrize(
    ("words", "stage", "message"),
    [
        (["snowflake"], 3, "the lines of 'snowflake' enclose no area 12 mm wide to colour; take "
         "another picture, fewer pictures, or a later stage"),
        (["lemon"], 4, "'lemon' has one area only, which leaves nothing to compare; add another "
         "picture, or take one with more areas"),
        ([], 3, "words: 0 pictures to colour do not go on this page; give 1 to 2"),
        (["house", "turtle"], 0, "words: 2 pictures to colour do not go on this page; give 1"),
        (["turtle", "turtle"], 3, "words: one picture is given twice; give each once"),
        (["box"], 2, "the areas of 'box' need more colours than stage 2 has; take another "
         "picture or a later stage"),
        (["house"], 9, "`stage`: stage 9 does not exist; use a whole number, 0 to 6"),
    ],
)  # fmt: skip
def test_what_is_refused(words: list[str], stage: int, message: str) -> None:
    with pytest.raises((InputError, PictureError)) as caught:
        from_words(words, stage, Options())
    assert str(caught.value) == message


def test_too_many_areas(tmp_path: FilePath) -> None:
    file = tmp_path / "grid.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><path fill="none" stroke="#000" stroke-width="1" '
        'd="M0 0h30v30h-30zM10 0v30M20 0v30M0 10h30M0 20h30"/></svg>'
    )
    with pytest.raises(PictureError, match="'grid' has 9 areas to colour, and a page of stage 2"):
        from_words([str(file)], 2, Options())
    assert len(from_words([str(file)], 5, Options()).pictures[0].colours) == 9


def test_a_theme_without_areas(tmp_path: FilePath) -> None:
    file = tmp_path / "herd.toml"
    file.write_text(
        'title = "Herd"\nlanguages = ["en"]\n[[words]]\ntext = "cow"\npicture = "cow"\n'
    )
    with pytest.raises(InputError, match="no picture of the theme Herd has two areas wide enough"):
        pattern.from_theme(load(file), 3, Options(), form="colour-copy")


@pytest.mark.parametrize(
    ("choices", "message"),
    [
        ({"answer": "tiles"}, "`as`: pictures to colour have no rows; leave it out"),
        ({"model": "below"}, "`model`: pictures to colour have no rows; leave it out"),
    ],
)
def test_options_of_rows_are_refused(choices: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        pattern.from_words(["house"], 3, Options(), form="colour-copy", **choices)
    assert str(caught.value) == message
