"""What a page of pictures to colour alike asks: which pictures, and a colour for each area."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from shapes.errors import InputError, PictureError
from shapes.path import BBox
from shapes.pictures.picture import Picture
from shapes.pictures.pictures import resolve
from sheets.kinds.colour_copy.areas import Areas, areas_of, share
from sheets.kinds.options import Options, is_low
from sheets.kinds.settings import amount, setting
from sheets.kinds.source import Source
from sheets.page import palette
from sheets.page.frame import WORK_HEIGHT, WORK_WIDTH
from sheets.theme.problems import count_of

TILE = 80.0
"""Side of the tiles of stage 0 in mm."""
TILE_INSET = 3.0
SAMPLE_HIGH = 62.0
BETWEEN = 6.0
KEY_HIGH = 18.0
"""Of the page: height of the samples, gap, and height of the key of colours, in mm."""
_PLAIN = frozenset({"black", "white"})
"""Colours that never fill the largest area of a picture, nor one with eyes in it."""
_LEAST_SHARE = 0.3
"""Of the box round a picture that its areas should cover, or little of it is coloured; our choice
by eye. Pictures below it are taken only where the theme has no others."""
MOST_PICTURES = 2
FEW_FOR_LOW_VISION = 2
TITLES = {
    "en": "Same colours",
    "es": "Los mismos colores",
    "fr": "Les mêmes couleurs",
    "de": "Gleiche Farben",
    "it": "Gli stessi colori",
    "pt": "As mesmas cores",
}
"""Title of a page without a theme, by language; from memory, not checked by speakers."""


@dataclass(frozen=True, slots=True)
class Coloured:
    """A picture with a colour for each of its areas.

    Args:
        colours: keys of ``sheets.page.palette``, one for each area of ``areas``.
    """

    areas: Areas
    colours: tuple[str, ...]

    @property
    def picture(self) -> Picture:
        return self.areas.picture


@dataclass(frozen=True, slots=True)
class ColourCopyTask:
    """What to colour alike.

    Args:
        colours: colours of the page, in the order of the key.
        remarks: further lines for the adult.
    """

    stage: int
    pictures: tuple[Coloured, ...]
    colours: tuple[str, ...]
    title: str
    badge: Picture | None = None
    remarks: tuple[str, ...] = ()


# --- choosing -------------------------------------------------------------------------------------


def task(source: Source, stage: int, options: Options, _choices: object) -> ColourCopyTask:
    """Pictures out of a theme whose areas suit the stage, or pictures named one by one.

    Raises:
        InputError: no such stage, no picture that suits, too few or too many pictures or areas.
        PictureError, FileError: no such picture, or one whose lines enclose no area to colour.
    """
    if source.theme is None:
        return _of_words(source.words, stage, options)
    theme, count = source.theme, _count(stage, options)
    pictures = [word.picture for word in theme.words]
    random.Random(f"{options.seed}:{stage}:pictures").shuffle(pictures)
    found = _drawn_from(pictures, stage, count)
    if not found:
        raise InputError(
            f"no picture of the theme {theme.title} has two areas wide enough to colour",
            where="`theme`",
            fix="give pictures instead, such as house or turtle, or take a later stage",
        )
    return _coloured(stage, options, found, title=theme.title, badge=theme.words[0].picture)


def _drawn_from(pictures: Sequence[Picture], stage: int, count: int) -> list[Areas]:
    """The first pictures that make a page, as many as asked for if possible; none if none do."""
    # Two pictures of one area each stand in where no single one has several.
    numbers = (*range(count, 0, -1), *((2,) if count == 1 and stage > 0 else ()))
    fitting = {number: _Fitting(pictures, stage, number) for number in numbers}
    for wanted in range(int(setting("colour-copy", stage, "least_areas") or 2), 1, -1):
        for least in (_LEAST_SHARE, 0.0):
            for number in numbers:
                wide_enough = (a for a in fitting[number] if share(a) >= least)
                found = list(itertools.islice(wide_enough, number))
                if len(found) == number and _total(found) >= wanted:
                    return found
    return []


class _Fitting:
    """The areas of pictures that suit a page of so many, those with several areas first; a picture
    of one area only joins others. Areas take long to find, so only those asked for are."""

    def __init__(self, pictures: Sequence[Picture], stage: int, number: int) -> None:
        self._found: list[Areas] = []
        self._more = self._looked_for(pictures, stage, number)

    def __iter__(self) -> Iterator[Areas]:
        for at in itertools.count():
            if at == len(self._found):
                try:
                    self._found.append(next(self._more))
                except StopIteration:
                    return
            yield self._found[at]

    @staticmethod
    def _looked_for(pictures: Sequence[Picture], stage: int, number: int) -> Iterator[Areas]:
        most = int(amount("colour-copy", stage, "areas"))
        single: list[Areas] = []
        for picture in pictures:
            areas = _areas(picture, stage, number)
            if areas is None or len(areas.regions) > most or not _colourable(areas, stage):
                continue
            if len(areas.regions) == 1:
                single.append(areas)
            else:
                yield areas
        yield from single


def _of_words(words: Sequence[str], stage: int, options: Options) -> ColourCopyTask:
    most = 1 if stage == 0 else FEW_FOR_LOW_VISION if is_low(options) else MOST_PICTURES
    pictures = [resolve(word) for word in words]
    setting("colour-copy", stage, "areas")
    if not 1 <= len(pictures) <= most:
        raise InputError(
            f"{len(pictures)} pictures to colour do not go on this page",
            where="words",
            fix=f"give {'1' if most == 1 else f'1 to {most}'}",
        )
    if len({picture.id for picture in pictures}) < len(pictures):
        raise InputError("one picture is given twice", where="words", fix="give each once")
    found = [_suitable(picture, stage, len(pictures)) for picture in pictures]
    if _total(found) < 2:
        raise PictureError(
            f"'{found[0].picture.name}' has one area only, which leaves nothing to compare",
            fix="add another picture, or take one with more areas",
        )
    title = TITLES.get(options.language.partition("-")[0].lower(), TITLES["en"])
    return _coloured(stage, options, found, title=title, badge=pictures[0])


def _count(stage: int, options: Options) -> int:
    if stage == 0:
        return 1
    count = int(setting("colour-copy", stage, "pictures") or 1)
    return min(count, FEW_FOR_LOW_VISION) if is_low(options) else count


def _suitable(picture: Picture, stage: int, count: int) -> Areas:
    least = amount("colour-copy", stage, "area_width")
    found = _areas(picture, stage, count)
    if found is None:
        raise PictureError(
            f"the lines of '{picture.name}' enclose no area {least:g} mm wide to colour",
            fix="take another picture, fewer pictures, or a later stage",
        )
    most = int(amount("colour-copy", stage, "areas"))
    if len(found.regions) > most:
        raise PictureError(
            f"'{picture.name}' has {count_of(len(found.regions), 'area')} to colour, and a "
            f"page of stage {stage} has at most {most}",
            fix="take another picture or a later stage",
        )
    if not _colourable(found, stage):
        raise PictureError(
            f"the areas of '{picture.name}' need more colours than stage {stage} has",
            fix="take another picture or a later stage",
        )
    return found


def _total(found: Sequence[Areas]) -> int:
    return sum(len(areas.regions) for areas in found)


def _areas(picture: Picture, stage: int, count: int) -> Areas | None:
    """The areas of a picture as large as the page shows it; small gaps closed only if need be."""
    least = amount("colour-copy", stage, "area_width")
    room = _tile_room() if stage == 0 else blank_room(count)
    return areas_of(picture, room.width, room.height, least)


def _colourable(found: Areas, stage: int) -> bool:
    most = int(setting("colour-copy", stage, "colours") or 2)
    keys = tuple(map(str, range(most)))
    return _colour_areas(found, keys, random.Random(0), {}) is not None


# --- colours --------------------------------------------------------------------------------------


def _coloured(
    stage: int, options: Options, found: Sequence[Areas], *, title: str, badge: Picture
) -> ColourCopyTask:
    rng = random.Random(f"{options.seed}:{stage}:colours")
    total = _total(found)
    most = int(setting("colour-copy", stage, "colours") or 2)
    if "colour-vision" in options.needs or is_low(options):
        most = min(most, 3)
    least = max(2, *(_fewest(areas) for areas in found))
    keys = rng.choice(_colour_sets(max(least, min(most, total))))
    used: dict[str, int] = {}
    pictures: list[Coloured] = []
    for areas in found:
        chosen = _colour_areas(areas, keys, rng, used)
        if chosen is None:
            raise InputError(
                f"the areas of '{areas.picture.name}' need more than {len(keys)} colours",
                fix="take another picture",
            )
        pictures.append(Coloured(areas, chosen))
    if stage == 0:
        after = {key: keys[(i + 1) % len(keys)] for i, key in enumerate(keys)}
        first = pictures[0]
        pictures.append(Coloured(first.areas, tuple(after[key] for key in first.colours)))
    shown = {key for one in pictures for key in one.colours}
    gaps = [one.picture.name for one in pictures if one.areas.closed_gaps]
    remarks = (
        [f"Lines with small gaps, to be closed with a pen first: {', '.join(gaps)}."]
        if gaps and stage > 0
        else []
    )
    return ColourCopyTask(
        stage=stage,
        pictures=tuple(pictures),
        colours=tuple(key for key in keys if key in shown),
        title=title,
        badge=badge,
        remarks=tuple(remarks),
    )


def _colour_sets(count: int) -> list[tuple[str, ...]]:
    """Sets of colours that are told apart by every eye and in grey, from the measured ones.

    A part of such a set is one as well. Two colours do without black, which hides the drawing.
    """
    whole = [
        tuple(colour.key for colour in one.colours)
        for size in (2, 3, 4)
        for one in palette.palettes(size, colour_printer=False)
    ]
    if count == 2:
        return [keys for keys in whole if len(keys) == 2 and not _PLAIN & set(keys)]
    sized = [keys for keys in whole if len(keys) == count]
    return [*sized, ("white", "orange", "blue")] if count == 3 else sized


def _fewest(areas: Areas) -> int:
    """How many colours the areas need so that neighbours differ."""
    for count in range(1, 5):
        if _colour_areas(areas, tuple(map(str, range(count))), random.Random(0), {}) is not None:
            return count
    return 5


def _colour_areas(
    areas: Areas, keys: Sequence[str], rng: random.Random, used: dict[str, int]
) -> tuple[str, ...] | None:
    """A colour for each area, unlike its neighbours', the least used first; None if impossible.

    Args:
        used: how often each colour was given on the page so far; counted on.
    """
    given = _deal(areas, keys, rng, used, _PLAIN) or _deal(areas, keys, rng, used, frozenset())
    for key in given or ():
        used[key] = used.get(key, 0) + 1
    return given


def _deal(
    areas: Areas,
    keys: Sequence[str],
    rng: random.Random,
    used: Mapping[str, int],
    plain: frozenset[str],
) -> tuple[str, ...] | None:
    """Colours by trying and taking back; those in ``plain`` only for areas that suit them."""
    given: list[str] = []

    def step() -> bool:
        at = len(given)
        if at == len(areas.regions):
            return True
        region = areas.regions[at]
        taken = {given[n] for n in region.neighbours if n < at}
        if at == 0 or region.polygon.interiors:
            taken |= plain
        free = [key for key in keys if key not in taken]
        rng.shuffle(free)
        free.sort(key=lambda key: used.get(key, 0) + given.count(key))
        for key in free:
            given.append(key)
            if step():
                return True
            given.pop()
        return False

    return tuple(given) if step() else None


# --- rooms ----------------------------------------------------------------------------------------


def _tile_room() -> BBox:
    side = TILE - 2.0 * TILE_INSET
    return BBox(0.0, 0.0, side, side)


def blank_room(count: int) -> BBox:
    """Room of one blank picture on a page of ``count``, the lower left corner at the origin."""
    high = WORK_HEIGHT - SAMPLE_HIGH - KEY_HIGH - 2.0 * BETWEEN
    return BBox(0.0, 0.0, (WORK_WIDTH - (count - 1) * BETWEEN) / count, high)
