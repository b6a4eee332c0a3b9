"""Easier versions of a picture's outline, one way for each stage of cutting.

Every outline contains the silhouette and keeps ``offset`` mm away from it. Stages 2 and 3 get a
rectangle, stage 4 a rounded hull without hollows, stage 5 a polygon of few corners (or a soft
outline with wide bends), stage 6 the picture's own outline with its narrow places opened up.
Lengths in mm, y up.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from shapes.errors import PictureError
from shapes.outline.corner_polygon import corner_polygon
from shapes.outline.morphology import Area
from shapes.outline.rounded_hull import rounded_hull
from shapes.outline.soft_outline import soft_outline
from shapes.path import Path

Form = Literal["corners", "soft"]

_SOFTER = 1.25
"""Each try at a lower score closes hollows with a disc this many times larger."""
_SOFTEST_MM = 80.0


@dataclass(frozen=True, slots=True)
class EaseLimits:
    """What the hand at a stage can follow; the values come from the caller's guidance.

    Args:
        offset: from the silhouette to the middle of the printed line.
        bend: smallest radius of an outward bend.
        hollow: smallest radius of an inward bend.
        neck: narrowest place of the piece.
        max_corners: most corners of a polygon, 3 to 8.
        interior_deg: smallest interior angle of a polygon, 30 to 120 degrees.
        score_cap: stage 6 is softened until its difficulty is at most this; None for no cap.
    """

    offset: float
    bend: float
    hollow: float
    neck: float
    max_corners: int
    interior_deg: float
    score_cap: float | None = None


@dataclass(frozen=True, slots=True)
class Eased:
    """An outline made easier.

    Args:
        path: closed, anticlockwise, from its lowest (then leftmost) joint on.
        form: straight sides with corners, or soft curves.
        softened_by: radius of the closing disc where it is larger than the stage's own, else 0.
        score: difficulty of the path at a 3 mm line.
    """

    path: Path
    stage: int
    form: Form
    softened_by: float
    score: float


def ease(
    silhouette: Area,
    stage: int,
    limits: EaseLimits,
    *,
    form: Form = "corners",
    score: Callable[[Path], float] | None = None,
) -> Eased:
    """The outline of a stage (2 to 6) round a silhouette.

    Raises:
        PictureError: the silhouette is empty.
        ValueError: there is no outline for the stage.
    """
    if silhouette.is_empty or silhouette.area <= 0.0:
        raise PictureError("the picture has nothing to cut out")
    if score is None:
        from shapes.measure.difficulty import score as path_score

        score = path_score
    softened = 0.0
    if stage in (2, 3):
        path, form = rectangle(silhouette, limits.offset), "corners"
    elif stage == 4:
        path, form = rounded_hull(silhouette, limits.offset, limits.bend), "soft"
    elif stage == 5 and form == "corners":
        path = corner_polygon(silhouette, limits.offset, limits.max_corners, limits.interior_deg)
    elif stage in (5, 6):
        form = "soft"
        path = soft_outline(silhouette, limits.offset, limits.bend, limits.hollow, limits.neck)
        radius = limits.hollow
        while (
            stage == 6
            and limits.score_cap is not None
            and score(path) > limits.score_cap
            and radius < _SOFTEST_MM
        ):
            radius = softened = radius * _SOFTER
            path = soft_outline(silhouette, limits.offset, limits.bend, radius, limits.neck)
    else:
        raise ValueError(f"no outline is made for stage {stage}")
    return Eased(path, stage, form, softened, score(path))


# --- stages 2 to 4 --------------------------------------------------------------------------------


def rectangle(silhouette: Area, offset: float) -> Path:
    """The upright box round a silhouette, ``offset`` mm away."""
    x0, y0, x1, y1 = silhouette.bounds
    x0, y0, x1, y1 = (
        _down(x0 - offset), _down(y0 - offset), _up(x1 + offset), _up(y1 + offset)
    )  # fmt: skip
    return Path.from_points([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)


def _down(value: float) -> float:
    return math.floor(value * 100.0) / 100.0


def _up(value: float) -> float:
    return math.ceil(value * 100.0) / 100.0
