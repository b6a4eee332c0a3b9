"""Which stages suit a picture: a ball's own outline is a circle, no harder than a rounded one.

The scores come from outlines as they stand on the page of each stage, all at a line width of 3 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from shapes.errors import InputError
from sheets.kinds.cutting.fitted import Fitted, Wish, made_anew, remember, standard_outline
from sheets.kinds.cutting.store import scores_of, stored_scores

if TYPE_CHECKING:
    from shapes.pictures.picture import Picture

OUTLINE_STAGES = (4, 5, 6)
SUGGESTIONS = 3
_ALIKE = 1.02
"""Scores of one shape differ by up to this factor with its size and with the arcs fitted to it."""


def stage_scores(picture: Picture, stages: Sequence[int] = OUTLINE_STAGES) -> Mapping[int, float]:
    """Score of the picture's outline at these stages, and perhaps at others of 4, 5 and 6.

    A stage at which it does not fit or cannot be cut is missing.
    """
    stored = scores_of(picture)
    if stored:
        return stored
    scores: dict[int, float] = {}
    for stage in stages:
        try:
            scores[stage] = standard_outline(picture, stage).score
        except InputError:
            continue
    return scores


def stages_for(stage: int) -> tuple[int, ...]:
    """The stages whose outlines tell whether one suits: the stage before, and the stage itself."""
    return tuple(each for each in (stage - 1, stage) if each in OUTLINE_STAGES)


def make_outlines(wanted: Iterable[tuple[Picture, int]], jobs: int) -> None:
    """Make the standard outlines of pictures beforehand, on several cores.

    Pictures with stored outlines are left out. What cannot be made is told when it is asked for.

    Args:
        wanted: picture and stage of pages to make; what :func:`stages_for` adds is made as well.
        jobs: processes at a time, 1 or more.
    """
    tasks = list(
        dict.fromkeys(
            (picture, each)
            for picture, stage in wanted
            if not scores_of(picture)
            for each in stages_for(stage)
        )
    )
    if jobs < 2 or len(tasks) < 2:
        return
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(max_workers=min(jobs, len(tasks))) as pool:
        for (picture, stage), fitted in zip(tasks, pool.map(_anew, tasks), strict=True):
            if fitted is not None:
                remember((picture, Wish(stage), None), fitted)


def _anew(task: tuple[Picture, int]) -> Fitted | None:
    picture, stage = task
    try:
        return made_anew(picture, Wish(stage), None)
    except InputError:
        return None


def not_harder(scores: Mapping[int, float]) -> tuple[int, ...]:
    """The stages whose outline is not harder than that of the stage before."""
    return tuple(
        stage
        for stage in OUTLINE_STAGES[1:]
        if stage in scores and stage - 1 in scores and scores[stage] <= _ALIKE * scores[stage - 1]
    )


def remark_for(picture: Picture, stage: int, among: tuple[str, ...] = ()) -> str:
    """A line for the adult if the stage's outline is not harder than the one before; else empty.

    Args:
        among: picture ids to name harder ones from (a theme's); empty: the picture's category.
    """
    if stage not in OUTLINE_STAGES[1:]:
        return ""
    scores = stage_scores(picture, stages_for(stage))
    if stage not in not_harder(scores):
        return ""
    words = harder_words(picture, stage, scores[stage - 1], among)
    tail = f" Harder at this stage: {', '.join(words)}." if words else ""
    return (
        f"This picture's outline for stage {stage} is not harder than the one for stage "
        f"{stage - 1}.{tail}"
    )


def harder_words(
    picture: Picture, stage: int, than: float, among: tuple[str, ...] = ()
) -> tuple[str, ...]:
    """Up to three words of the theme or category with outlines that score above ``than``."""
    from shapes.pictures.pictures import curated

    words = curated()
    own = next((word.category for word in words if word.code == picture.id), None)
    stored = stored_scores()
    found: list[tuple[float, str]] = []
    for word in words:
        if word.code == picture.id:
            continue
        if among:
            if word.code not in among:
                continue
        elif own is not None and word.category != own:
            continue
        scores = stored.get(word.code)
        if scores is None or stage not in scores or stage in not_harder(scores):
            continue
        if scores[stage] > than:
            found.append((scores[stage], word.text))
    return tuple(text for _, text in sorted(found)[:SUGGESTIONS])
