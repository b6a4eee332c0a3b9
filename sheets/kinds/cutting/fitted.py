"""A picture and its easier outline, fitted together into the space a page has.

The outline is fitted, not the picture: the picture is made as large as lets the finished line,
half its width included, stay inside the box and within the stage's longest cut. At stage 5 the
shape is chosen first, at one size, so that it does not change while the room is being filled.
"""

from __future__ import annotations

import dataclasses
import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapes.affine import Affine, Point
from shapes.errors import FitError
from shapes.path import BBox, Path
from sheets.check.guidance import limits
from sheets.kinds.settings import amount, setting
from sheets.page.frame import LETTER, Frame

if TYPE_CHECKING:
    from collections.abc import Callable

    from shapes.outline.ease import Eased, EaseLimits
    from shapes.pictures.picture import Picture

SMALLEST_PICTURE = 25.0
"""A picture whose longer side would be smaller than this is refused. Our setting."""
MOST_SECONDS = 8.0
"""Of the processor, for one outline; most take a tenth of one."""
_TRIES = 14
_NEARLY_SIZE = 0.02
_FULL_ENOUGH, _NEARLY_FULL = 0.998, 0.999
_FITTING_ALLOWANCE = 0.2
"""Arcs fitted to an outline stray up to 0.1 mm; so that the clearance still holds. Our setting."""
_WIDER = 1.3
"""How much wider each easier step makes bends, hollows and necks; the offset grows by 1 mm. Our
setting."""
_CHOOSING_SIZE = 120.0
"""Longer side of a picture, in mm, at which its shape is chosen."""
_WORTH_TWO = 1.25
"""Two outlines stand on a page if both enclose this many times as much as one. Our setting."""


@dataclass(frozen=True, slots=True)
class FittedOutline:
    """Where an outline and its picture lie on the page.

    Args:
        path: centre line of the printed line, page mm, closed, anticlockwise.
        art_at: from the picture's own units to page mm.
        longest: longer side of the picture in mm.
        score: difficulty of the outline (``shapes.measure.difficulty``), at 3 mm line width.
        softened_by: closing radius used beyond the stage's own, in mm; 0 if none.
        shape: name of the shape (``shapes.outline.named_shapes``), ``soft``, or empty.
        fill: share of a named shape that the picture's silhouette fills, else 0.
        count: how many of them fill a page best.
    """

    path: Path
    art_at: Affine
    longest: float
    score: float
    softened_by: float = 0.0
    shape: str = ""
    fill: float = 0.0
    count: int = 1

    @property
    def size(self) -> float:
        """Longer side of the line's middle, in mm."""
        return max(self.path.bbox.width, self.path.bbox.height)

    def moved(self, dx: float, dy: float) -> FittedOutline:
        """Outline and picture together, moved on the page."""
        if dx == dy == 0.0:
            return self
        at = self.art_at.then(Affine.translation(dx, dy))
        return dataclasses.replace(self, path=self.path.moved(dx, dy), art_at=at)


@dataclass(frozen=True, slots=True)
class Wish:
    """What an outline is asked for besides its picture and its room.

    Args:
        stage: 4, 5 or 6 (before that pictures lie between straight cuts).
        shape: name of a shape or ``soft``; empty for the stage's own outline.
        line: width of the printed line in mm; 0 for the stage's own.
        easier: steps by which bends, hollows, necks and the distance from the picture are wider
            than the stage asks, for a picture that misses a limit.
    """

    stage: int
    shape: str = ""
    line: float = 0.0
    easier: int = 0

    @property
    def width(self) -> float:
        """Width of the printed line in mm."""
        return self.line or line_width(self.stage)


def ease_limits(wish: Wish) -> EaseLimits:
    """The stage's limits for outlines made from pictures, as ``shapes.outline.ease`` takes them."""
    from shapes.outline.ease import EaseLimits

    stage = wish.stage
    bounds = limits("cutting", stage)

    def least(name: str) -> float:
        return float(bounds[name].minimum or 0.0) if name in bounds else 0.0

    cap = setting("cutting", stage, "score_cap")
    wider = _WIDER**wish.easier
    return EaseLimits(
        offset=least("clearance") + _FITTING_ALLOWANCE + wish.width / 2.0 + wish.easier,
        bend=least("bend_radius") * wider,
        hollow=least("hollow_radius") * wider,
        neck=least("neck") * wider,
        max_corners=int(bounds["corners"].maximum or 0),
        least_fill=amount("cutting", stage, "shape_fill"),
        score_cap=float(cap) if cap is not None else None,
    )


def line_width(stage: int) -> float:
    """Printed width of the cutting line at a stage, in mm."""
    return amount("cutting", stage, "line_width")


def least_piece(stage: int) -> float:
    """Least longer side of an outline at a stage, in mm."""
    return float(limits("cutting", stage)["piece_size"].minimum or 0.0)


def outline_gap(stage: int) -> float:
    """Least distance between two outlines at a stage, from line edge to line edge, mm."""
    return float(limits("cutting", stage)["outline_gap"].minimum or 0.0)


def fit_outline(picture: Picture, wish: Wish, box: BBox) -> FittedOutline:
    """The outline of a picture, as large as the box and the longest cut allow.

    Args:
        picture: any picture.
        box: room for the finished line on the page, in mm.

    Raises:
        FitError: not even a picture of 25 mm fits.
        PictureError: the picture has nothing to cut.
    """
    return _kept(picture, wish, box)


Fitted = FittedOutline | FitError
_Key = tuple["Picture", Wish, BBox | None]

_REMEMBERED = 512
_made: dict[_Key, Fitted] = {}
"""The latest outlines: a theme's own drawings come back for one child after another."""


def _kept(picture: Picture, wish: Wish, box: BBox | None) -> FittedOutline:
    found = _made.get((picture, wish, box))
    if found is None:
        found = made_anew(picture, wish, box)
        remember((picture, wish, box), found)
    if isinstance(found, FitError):
        raise found.with_traceback(None)
    return found


def remember(key: _Key, fitted: Fitted) -> None:
    """Keep an outline for :func:`fit_outline` to find, or without a box the standard one."""
    if len(_made) >= _REMEMBERED:
        _made.clear()
    _made[key] = fitted


def made_anew(picture: Picture, wish: Wish, box: BBox | None) -> Fitted:
    """An outline made anew, its error returned; that of a large drawing in a process of its own.

    Args:
        box: as for :func:`fit_outline`; None for that of :func:`standard_outline`.

    Raises:
        PictureError: the picture has nothing to cut.
        InputError: it takes too much time or memory.
    """
    from shapes.pictures.own import is_large

    if not is_large(picture):
        return fit_anew(picture, wish, box) if box else standard_anew(picture, wish)
    from shapes.apart import call
    from shapes.pictures.silhouette import whole_rings

    try:
        found: FittedOutline = call(
            _made_here, picture, whole_rings(picture), wish, box, where=picture.name
        )
    except FitError as error:
        return error
    return found


def _made_here(
    picture: Picture, rings: tuple[tuple[Point, ...], ...], wish: Wish, box: BBox | None
) -> FittedOutline:
    """For :func:`made_anew`, in the process that it starts."""
    from shapes.pictures.silhouette import keep_whole

    keep_whole(picture, rings)
    found = fit_anew(picture, wish, box) if box else standard_anew(picture, wish)
    if isinstance(found, FitError):
        raise found
    return found


def fit_anew(picture: Picture, wish: Wish, box: BBox) -> Fitted:
    """The same as :func:`fit_outline`, made anew and with its error returned.

    Raises:
        PictureError: the picture has nothing to cut, or takes too long.
    """
    from shapes.measure.difficulty import score
    from shapes.outline.deadline import within
    from shapes.outline.ease import ease, suited_shape, surely
    from shapes.pictures.silhouette import silhouette

    # Those of the set lie in a store; for a teacher's own somebody waits.
    bounds = dataclasses.replace(ease_limits(wish), sooner=not picture.credit)
    shape = wish.shape
    if wish.stage == 5 and not shape:
        shape = suited_shape(silhouette(picture, _CHOOSING_SIZE), bounds)
    room = box.grown(-wish.width / 2.0)
    longest_cut = limits("cutting", wish.stage)["cut_length"].maximum or float("inf")

    latest: _Trial | None = None

    def trial(size: float, eased: Eased) -> _Trial:
        box = eased.path.bbox
        fill = max(box.width / room.width, box.height / room.height)
        return _Trial(size, max(fill, eased.path.length / longest_cut), eased)

    def made(size: float) -> _Trial:
        nonlocal latest
        outline = silhouette(picture, size)
        like = latest.like(size) if latest else None
        latest = trial(size, ease(outline, wish.stage, bounds, shape=shape, like=like))
        return latest

    with within(MOST_SECONDS, picture.name):
        best = _largest_fitting(made, _upper_size(picture, room, bounds.offset))
    if best is None:
        return FitError(
            f"its outline for this stage does not fit {box.width:.0f} x {box.height:.0f} mm",
            where=picture.name,
            fix="use fewer pieces or another picture",
        )
    eased = best.eased
    if eased.supposed:
        sure = surely(silhouette(picture, best.size), bounds, eased)
        if trial(best.size, sure).fill <= 1.0:
            eased = sure
    path, art_at = _centred(picture, eased.path, best.size, box)
    return FittedOutline(
        path, art_at, best.size, score(path), eased.softened_by, eased.shape, eased.fill
    )


@dataclass(frozen=True, slots=True)
class _Trial:
    """An outline made at one picture size; ``fill`` above 1 means too large."""

    size: float
    fill: float
    eased: Eased

    def like(self, size: float) -> Eased:
        """What is known of the outline at another size: how hard others are only at nearly this."""
        if abs(size - self.size) > _NEARLY_SIZE * self.size:
            return dataclasses.replace(self.eased, harder=0.0)
        return self.eased


def _largest_fitting(made: Callable[[float], _Trial], start: float) -> _Trial | None:
    """The largest picture whose outline fits: false position, as the fill grows with the size."""
    high = made(start)
    if high.fill <= 1.0:
        return high
    low: _Trial | None = None
    slope = high.fill / high.size
    for _ in range(_TRIES):
        if low is None:
            # Aim a little low: the line's distance from the picture does not shrink with it.
            aim = high.size - (high.fill - 0.98) / slope
            size = max(SMALLEST_PICTURE, min(aim, 0.97 * high.size))
        else:
            share = (_NEARLY_FULL - low.fill) / (high.fill - low.fill)
            share = min(0.95, max(0.05, share))
            size = low.size + (high.size - low.size) * share
        trial = made(size)
        if trial.fill > 1.0:
            if size <= SMALLEST_PICTURE:
                return None
            slope = max(1e-4, (high.fill - trial.fill) / (high.size - trial.size))
            high = trial
        else:
            low = trial
            if trial.fill >= _FULL_ENOUGH or high.size - low.size < 0.05:
                break
    return low


def _upper_size(picture: Picture, room: BBox, offset: float) -> float:
    """Longer side of the picture if nothing but the offset stood between it and the box."""
    box = picture.bbox
    longer: float = max(box.width, box.height)
    across = (room.width - 2.0 * offset) / box.width
    up = (room.height - 2.0 * offset) / box.height
    return max(SMALLEST_PICTURE, longer * min(across, up))


def _centred(picture: Picture, path: Path, size: float, box: BBox) -> tuple[Path, Affine]:
    (cx, cy), (bx, by) = path.bbox.center, box.center
    scale = size / max(picture.bbox.width, picture.bbox.height)
    # The silhouette has the picture's lower left corner at the origin.
    art_at = Affine(
        scale,
        0.0,
        0.0,
        scale,
        bx - cx - picture.bbox.x0 * scale,
        by - cy - picture.bbox.y0 * scale,
    )
    return path.moved(bx - cx, by - cy), art_at


# --- the page that shows a picture ----------------------------------------------------------------


def standard_outline(
    picture: Picture, stage: int, shape: str = "", easier: int = 0
) -> FittedOutline:
    """The outline of the stage's usual page in the middle of the work area; no page is made."""
    wish = Wish(stage, shape, easier=easier)
    return _kept(picture, wish, None)


def standard_anew(picture: Picture, wish: Wish) -> Fitted:
    """The same, made anew and with its error returned: one large outline, or two that enclose more.

    Raises:
        PictureError: the picture has nothing to cut.
    """
    work = standard_room()
    one = fit_anew(picture, wish, work)
    if isinstance(one, FitError):
        return one
    best = one
    wish = dataclasses.replace(wish, shape=one.shape)
    for two in cells(work, outline_gap(wish.stage), 2):
        # Two of a picture that is about as wide as high are each less than half as large.
        if not _may_be_worth_it(one, two[0]):
            continue
        found = fit_anew(picture, wish, two[0])
        if isinstance(found, FittedOutline) and found.size >= least_piece(wish.stage):
            shares = 2.0 * found.longest**2, (1.0 if best is one else 2.0) * best.longest**2
            if shares[0] > shares[1] * (_WORTH_TWO if best is one else 1.0):
                (x, y), (cx, cy) = two[0].center, work.center
                best = dataclasses.replace(found.moved(cx - x, cy - y), count=2)
    return best


def _may_be_worth_it(one: FittedOutline, cell: BBox) -> bool:
    shrunk = min(1.0, cell.width / one.path.bbox.width, cell.height / one.path.bbox.height)
    return 2.0 * shrunk * shrunk > _WORTH_TWO


def standard_room() -> BBox:
    """The work area of the standard page, in whose middle stored outlines lie."""
    return Frame(LETTER).work


def cells(work: BBox, gap: float, count: int) -> list[list[BBox]]:
    """Ways to share an area: rows, columns and, for three or four, two by two.

    Of two by two that are three, each of the four cells is empty once.

    Args:
        gap: between neighbouring cells, in mm.
    """
    shares = [(1, count), (count, 1)] + ([(2, 2)] if count in (3, 4) else [])
    found = []
    for across, down in dict.fromkeys(shares):
        wide = (work.width - gap * (across - 1)) / across
        high = (work.height - gap * (down - 1)) / down
        if min(wide, high) < SMALLEST_PICTURE:
            continue
        grid = [
            BBox(x, top - high, x + wide, top)
            for top in (work.y1 - (high + gap) * row for row in range(down))
            for x in (work.x0 + (wide + gap) * column for column in range(across))
        ]
        found += [list(some) for some in itertools.combinations(grid, count)]
    return found
