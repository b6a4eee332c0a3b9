"""A picture and its easier outline, fitted together into the space a page has.

The outline is fitted, not the picture: the picture is made as large as lets the finished line,
half its width included, stay inside the box and within the stage's longest cut.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from shapes.affine import Affine
from shapes.errors import FitError
from shapes.path import BBox, Path
from sheets.check.guidance import limits
from sheets.kinds.settings import amount, setting
from sheets.page.frame import LETTER, Frame

if TYPE_CHECKING:
    from collections.abc import Callable

    from shapes.outline.ease import Eased, EaseLimits
    from shapes.pictures.pictures import Picture

Form = Literal["corners", "soft"]

SMALLEST_PICTURE = 25.0
"""A picture whose longer side would be smaller than this is refused. Our setting."""
_TRIES = 14
_FULL_ENOUGH, _NEARLY_FULL = 0.998, 0.999
_FITTING_ALLOWANCE = 0.2
"""Arcs fitted to an outline stray up to 0.1 mm; so that the clearance still holds. Our setting."""


@dataclass(frozen=True, slots=True)
class FittedOutline:
    """Where an outline and its picture lie on the page.

    Args:
        path: centre line of the printed line, page mm, closed, anticlockwise.
        art_at: from the picture's own units to page mm.
        longest: longer side of the picture in mm.
        score: difficulty of the outline (``shapes.measure.difficulty``), at 3 mm line width.
        softened_by: closing radius used beyond the stage's own, in mm; 0 if none.
    """

    path: Path
    art_at: Affine
    longest: float
    score: float
    softened_by: float = 0.0

    def moved(self, dx: float, dy: float) -> FittedOutline:
        """Outline and picture together, moved on the page."""
        if dx == dy == 0.0:
            return self
        at = self.art_at.then(Affine.translation(dx, dy))
        return dataclasses.replace(self, path=self.path.moved(dx, dy), art_at=at)


def ease_limits(stage: int) -> EaseLimits:
    """The stage's limits for outlines made from pictures, as ``shapes.outline.ease`` takes them."""
    from shapes.outline.ease import EaseLimits

    bounds = limits("cutting", stage)

    def least(name: str) -> float:
        return float(bounds[name].minimum or 0.0) if name in bounds else 0.0

    cap = setting("cutting", stage, "score_cap")
    return EaseLimits(
        offset=line_offset(stage),
        bend=least("bend_radius"),
        hollow=least("hollow_radius"),
        neck=least("neck"),
        max_corners=int(bounds["corners"].maximum or 0),
        interior_deg=least("interior_angle"),
        score_cap=float(cap) if cap is not None else None,
    )


def line_width(stage: int) -> float:
    """Printed width of the cutting line at a stage, in mm."""
    return amount("cutting", stage, "line_width")


def line_offset(stage: int) -> float:
    """From the art to the middle of the line: the stage's clearance and half the line."""
    clearance = limits("cutting", stage)["clearance"].minimum or 0.0
    return clearance + _FITTING_ALLOWANCE + line_width(stage) / 2.0


def fit_outline(picture: Picture, stage: int, box: BBox, form: Form = "corners") -> FittedOutline:
    """The stage's outline of a picture, as large as the box and the longest cut allow.

    Args:
        picture: any picture.
        stage: 4, 5 or 6 (before that pictures lie between straight cuts).
        box: room for the finished line on the page, in mm.
        form: at stage 5, straight sides with corners or a soft outline.

    Raises:
        FitError: not even a picture of 25 mm fits.
        PictureError: the picture has nothing to cut.
    """
    key = (picture, stage, box, form)
    found = _made.get(key)
    if found is None:
        found = fit_anew(picture, stage, box, form)
        remember(picture, stage, box, form, found)
    if isinstance(found, FitError):
        raise found.with_traceback(None)
    return found


Fitted = FittedOutline | FitError

_REMEMBERED = 512
_made: dict[tuple[Picture, int, BBox, Form], Fitted] = {}
"""The latest outlines: a theme's own drawings come back for one child after another."""


def remember(picture: Picture, stage: int, box: BBox, form: Form, fitted: Fitted) -> None:
    """Keep an outline that was made elsewhere for :func:`fit_outline` to find."""
    if len(_made) >= _REMEMBERED:
        _made.clear()
    _made[picture, stage, box, form] = fitted


def fit_anew(picture: Picture, stage: int, box: BBox, form: Form = "corners") -> Fitted:
    """The same as :func:`fit_outline`, made anew and with its error returned.

    Raises:
        PictureError: the picture has nothing to cut.
    """
    from shapes.measure.difficulty import score
    from shapes.outline.ease import ease
    from shapes.pictures.silhouette import silhouette

    bounds = ease_limits(stage)
    room = box.grown(-line_width(stage) / 2.0)
    longest_cut = limits("cutting", stage)["cut_length"].maximum or float("inf")

    def made(size: float) -> _Trial:
        shape = silhouette(picture, size)
        eased = ease(shape, stage, bounds, form=form)
        box = eased.path.bbox
        fill = max(box.width / room.width, box.height / room.height)
        return _Trial(size, max(fill, eased.path.length / longest_cut), eased)

    best = _largest_fitting(made, _upper_size(picture, room, bounds.offset))
    if best is None:
        return FitError(
            f"its outline for this stage does not fit {box.width:.0f} x {box.height:.0f} mm",
            where=picture.name,
            fix="use fewer pieces or another picture",
        )
    path, art_at = _centred(picture, best.eased.path, best.size, box)
    return FittedOutline(path, art_at, best.size, score(path), best.eased.softened_by)


@dataclass(frozen=True, slots=True)
class _Trial:
    """An outline made at one picture size; ``fill`` above 1 means too large."""

    size: float
    fill: float
    eased: Eased


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


def outline_rows(stage: int, frame: Frame, count: int) -> list[BBox]:
    """Boxes one above the other with the stage's gap between them, line edge to line edge."""
    gap = float(limits("cutting", stage)["outline_gap"].minimum or 0.0)
    work = frame.work
    high = (work.height - gap * (count - 1)) / count
    if high < 30.0:
        raise FitError(
            f"{count} outlines leave only {max(high, 0.0):.0f} mm for each",
            where="`pieces`",
            fix="use fewer",
        )
    tops = [work.y1 - (high + gap) * i for i in range(count)]
    return [BBox(work.x0, top - high, work.x1, top) for top in tops]


def standard_outline(picture: Picture, stage: int, form: Form = "corners") -> FittedOutline:
    """The outline of the page that has the stage's usual number of pieces (no page is made)."""
    return fit_outline(picture, stage, standard_row(stage), form)


def usual_pieces(stage: int) -> int:
    """Outlines of a picture on one page, if not told otherwise."""
    return int(setting("cutting", stage, "pieces") or 1)


def standard_row(stage: int) -> BBox:
    """Room of the first outline on the standard page, where stored outlines lie."""
    return outline_rows(stage, Frame(LETTER), usual_pieces(stage))[0]
