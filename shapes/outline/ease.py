"""Easier versions of a picture's outline, one way for each stage of cutting.

Every outline contains the silhouette and keeps ``offset`` mm away from it. Stages 2 and 3 get a
rectangle, stage 4 a rounded hull without hollows, stage 5 a shape that has a name (or a soft
outline with wide bends), stage 6 the picture's own outline with its narrow places opened up.
Lengths in mm, y up.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass, field

from shapes.errors import PictureError
from shapes.outline.morphology import Area
from shapes.outline.named_shapes import best_shape, enclosing
from shapes.outline.rounded_hull import rounded_hull
from shapes.outline.soft_outline import soft_outline
from shapes.path import Path

SOFT = "soft"
"""What an outline of wide bends and hollows is called among the names of shapes."""

_SOFTER = 1.25
"""Each try at a lower score closes hollows with a disc this many times larger."""
_SOFTEST_MM = 80.0
_SURELY = 1.05
"""An outline that scores so many times the cap is over it at nearly the same size too."""


@dataclass(frozen=True, slots=True)
class EaseLimits:
    """What the hand at a stage can follow; the values come from the caller's guidance.

    Args:
        offset: from the silhouette to the middle of the printed line.
        bend: smallest radius of an outward bend.
        hollow: smallest radius of an inward bend.
        neck: narrowest place of the piece.
        max_corners: most corners of a shape that is chosen for a picture.
        least_fill: least share of a shape that the silhouette fills for the shape to be chosen.
        score_cap: soft outlines are softened until their difficulty is at most this; None for no
            cap.
        sooner: soft outlines come in less than half the time, within the same limits, but may be
            another of those whose score is within the cap.
    """

    offset: float
    bend: float
    hollow: float
    neck: float
    max_corners: int
    least_fill: float
    score_cap: float | None = None
    sooner: bool = False


@dataclass(frozen=True, slots=True)
class Eased:
    """An outline made easier.

    Args:
        path: closed, anticlockwise, from its lowest (then leftmost) joint on.
        shape: name of the shape, :data:`SOFT`, or empty: the stage has one kind of outline only.
        fill: share of a named shape that the silhouette fills; 0 for the others.
        softened_by: radius of the closing disc where it is larger than the stage's own, else 0.
        score: difficulty of the path at a 3 mm line.
        widened: of ``soft_outline.Softened``.
        harder: score of the outline one step less soft; 0: there is none.
        supposed: ``harder`` is that of an outline of nearly the same size.
    """

    path: Path
    stage: int
    shape: str
    softened_by: float
    score: float
    fill: float = 0.0
    widened: int = 0
    harder: float = 0.0
    supposed: bool = False


def ease(
    silhouette: Area,
    stage: int,
    limits: EaseLimits,
    *,
    shape: str = "",
    score: Callable[[Path], float] | None = None,
    like: Eased | None = None,
) -> Eased:
    """The outline of a stage (2 to 6) round a silhouette.

    Args:
        shape: one of ``named_shapes.NAMES`` or :data:`SOFT`, at stages 5 and 6; empty for the
            stage's own: at stage 5 the shape that suits the silhouette best, or a soft outline.
        like: what came out at nearly the same size; saves trying what was not soft enough then, and
            what was far from it: see :func:`surely`.

    Raises:
        PictureError: the silhouette is empty.
        ValueError: there is no outline for the stage, or no such shape.
    """
    if silhouette.is_empty or silhouette.area <= 0.0:
        raise PictureError("the picture has nothing to cut out")
    if score is None:
        from shapes.measure.difficulty import score as path_score

        score = path_score
    if stage in (5, 6) and shape not in ("", SOFT):
        found = enclosing(silhouette, limits.offset, shape)
        return Eased(found.path, stage, found.name, 0.0, score(found.path), found.fill)
    if stage == 5 and not shape:
        best = suited_shape(silhouette, limits)
        return ease(silhouette, stage, limits, shape=best, score=score, like=like)
    if stage in (2, 3):
        path, shape = rectangle(silhouette, limits.offset), "rectangle"
        return Eased(path, stage, shape, 0.0, score(path))
    if stage == 4:
        path = rounded_hull(silhouette, limits.offset, limits.bend)
        return Eased(path, stage, "", 0.0, score(path))
    if stage not in (5, 6):
        raise ValueError(f"no outline is made for stage {stage}")
    near = like.widened if like else 0
    return _soft(_SoftOnes(silhouette, stage, limits, shape, score, near), like)


def suited_shape(silhouette: Area, limits: EaseLimits) -> str:
    """The name of the shape that suits a silhouette best; :data:`SOFT` if none does."""
    best = best_shape(silhouette, limits.offset, limits.least_fill, limits.max_corners)
    return SOFT if best is None else best.name


@dataclass(slots=True)
class _SoftOnes:
    """The soft outlines round a silhouette, from the stage's own on, each softer than the last."""

    silhouette: Area
    stage: int
    limits: EaseLimits
    shape: str
    score: Callable[[Path], float]
    near: int
    made: dict[int, Eased] = field(default_factory=dict)

    @property
    def cap(self) -> float:
        cap = self.limits.score_cap
        return math.inf if cap is None else cap

    @property
    def radii(self) -> list[float]:
        radii = [self.limits.hollow]
        while radii[-1] < _SOFTEST_MM:
            radii.append(radii[-1] * _SOFTER)
        return radii

    def at(self, i: int) -> Eased:
        """The one closed with the ``i``-th radius."""
        if i not in self.made:
            radius, limits = self.radii[i], self.limits
            least = limits.offset, limits.bend, radius, limits.neck
            soft = soft_outline(self.silhouette, *least, self.near, limits.sooner)
            self.near = soft.widened
            by = radius if i else 0.0
            self.made[i] = Eased(
                soft.path, self.stage, self.shape, by, self.score(soft.path), widened=soft.widened
            )
        return self.made[i]

    def nearest(self, radius: float) -> int:
        return min(range(len(self.radii)), key=lambda i: abs(self.radii[i] - radius))

    def back_from(self, i: int) -> Eased:
        """The first of the ones before the ``i``-th that are all within the cap, or it itself."""
        while i and self.at(i - 1).score <= self.cap:
            i -= 1
        return dataclasses.replace(self.at(i), harder=self.at(i - 1).score if i else 0.0)


def _soft(ones: _SoftOnes, like: Eased | None) -> Eased:
    """The first of the outlines whose score is within the cap.

    As the score falls with the radius, the search may begin at any of them.
    """
    i = ones.nearest(like.softened_by) if like and like.softened_by else 0
    while ones.at(i).score > ones.cap and i + 1 < len(ones.radii):
        ahead = 1
        if ones.limits.sooner:
            # About as far as the score falls at most; from there it is looked back.
            ahead = max(1, int(math.log(ones.at(i).score / max(ones.cap, 1e-9), _SOFTER)))
        i = min(i + ahead, len(ones.radii) - 1)
    found = ones.at(i)
    alike = like is not None and like.softened_by == found.softened_by
    if like and alike and ones.limits.sooner and like.harder > _SURELY * ones.cap:
        return dataclasses.replace(found, harder=like.harder, supposed=True)
    return ones.back_from(i)


def surely(silhouette: Area, limits: EaseLimits, eased: Eased) -> Eased:
    """The outline of a silhouette, or a less soft one that was only supposed to be too hard."""
    from shapes.measure.difficulty import score

    ones = _SoftOnes(silhouette, eased.stage, limits, eased.shape, score, eased.widened)
    i = ones.nearest(eased.softened_by)
    ones.made[i] = dataclasses.replace(eased, supposed=False)
    return ones.back_from(i)


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
