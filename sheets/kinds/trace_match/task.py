"""Which real things go on a page of outlines: chosen from a theme, or given with their measures.

A set fits a page if every two of its outlines differ in size by what the stage asks, and if the
page holds them all at true size with the stage's gaps.
"""

from __future__ import annotations

import dataclasses
import itertools
import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from shapes.errors import InputError
from shapes.objects import Footprint, footprint, near_twins
from shapes.pictures.picture import Picture
from sheets.kinds.options import MOST_FOR_LOW_VISION, Options, is_low
from sheets.kinds.settings import amount, setting
from sheets.kinds.source import Source
from sheets.kinds.trace_match import TraceMatchChoices
from sheets.kinds.trace_match.room import difference, fits, gap_mm, least_difference, least_size
from sheets.kinds.trace_match.section import things_of
from sheets.page.packing import MOST_BOXES
from sheets.theme.theme import Theme

THINGS_TITLE = "Things and outlines"
FEWEST = 2
MEASURE_FORMS = (
    "write an id such as can211, or in mm: tub=62 (across), box=120x65, or box=120x65x4 with its "
    "corner radius"
)

_STEPS_MM = (0.0, 2.0, 4.0, 8.0, 12.0)
_SETS_KEPT = 6
_SETS_TRIED = 60
_MEASURES = re.compile(r"\d+(?:\.\d+)?(?:x\d+(?:\.\d+)?){0,2}")


@dataclass(frozen=True, slots=True)
class TraceMatchTask:
    """Things and their outlines.

    Args:
        stage: 0 to 6.
        things: each on the table and with an outline; 2 or more.
        left_over: outlines that no thing on the table fits.
        badge: small picture in the head.
        remarks: further lines for the adult.
    """

    stage: int
    things: tuple[Footprint, ...]
    title: str = THINGS_TITLE
    left_over: tuple[Footprint, ...] = ()
    badge: Picture | None = None
    remarks: tuple[str, ...] = ()

    @property
    def outlines(self) -> tuple[Footprint, ...]:
        """Everything that has an outline: things first."""
        return (*self.things, *self.left_over)


# --- given things ---------------------------------------------------------------------------------


def parse_thing(text: str) -> Footprint:
    """A thing as the command line names it: an id, or a name with measures such as ``box=120x65``.

    Raises:
        InputError: unknown id, or measures that cannot be read or used.
    """
    name, equals, measures = text.partition("=")
    if not equals:
        return footprint(text)
    plain = "".join(measures.split()).lower().removesuffix("mm")
    if not _MEASURES.fullmatch(plain):
        raise InputError(
            f"the measures in {text!r} cannot be read", where="`thing`", fix=MEASURE_FORMS
        )
    keys = ("width_mm", "depth_mm", "corner_mm") if "x" in plain else ("diameter_mm",)
    numbers = [float(part) for part in plain.split("x")]
    return footprint({"name": name, **dict(zip(keys, numbers, strict=False))})


def task(
    source: Source, stage: int, options: Options, choices: TraceMatchChoices
) -> TraceMatchTask:
    """A page of the things given, or of things of the theme.

    Raises:
        InputError: no such stage, things that cannot be read or used together, or nothing in the
            theme that suits.
    """
    if choices.thing:
        if source.theme is None:
            return of_things(choices.thing, stage, options)
        title, badge = source.theme.title, source.theme.badge
        return of_things(choices.thing, stage, options, title=title, badge=badge)
    if source.theme is None:
        raise InputError(
            "neither a theme nor words or things given",
            fix="give a `theme`, such as reedy-pond",
        )
    return _of_theme(source.theme, stage, options)


def of_things(
    things: Sequence[str | Footprint],
    stage: int,
    options: Options,
    *,
    title: str = THINGS_TITLE,
    badge: Picture | None = None,
) -> TraceMatchTask:
    """A page of exactly these things, with as many outlines left over as stage and paper allow.

    Args:
        things: as :func:`parse_thing` takes them, or footprints.

    Raises:
        InputError: see :func:`parse_thing` and :func:`check_task`.
    """
    found = tuple(parse_thing(thing) if isinstance(thing, str) else thing for thing in things)
    task = TraceMatchTask(stage, found, title, badge=badge)
    check_task(task, options)
    wanted = int(amount("trace-match", stage, "outlines_left_over"))
    if is_low(options):
        wanted = min(wanted, MOST_FOR_LOW_VISION - len(found))
    rng = random.Random(f"{options.seed}:{stage}:things")
    upright = fits(found, stage, options, upright=True)
    for count in range(min(wanted, MOST_BOXES - len(found)), 0, -1):
        ways = _left_over(found, count, stage, options, upright=upright)
        if ways:
            return dataclasses.replace(task, left_over=rng.choice(ways))
    return task


def check_task(task: TraceMatchTask, options: Options) -> None:
    """Refuse what cannot be put on a page.

    Raises:
        InputError: unknown stage, too few or too many things, near-twins, or a small part for a
            child who mouths things.
    """
    setting("trace-match", task.stage, "things")  # refuses a stage that does not exist
    low_vision = is_low(options)
    most = MOST_FOR_LOW_VISION if low_vision else MOST_BOXES
    if len(task.things) < FEWEST or len(task.outlines) > most:
        page = "a page for low vision" if low_vision else "a page"
        raise InputError(
            f"{len(task.outlines)} outline{'' if len(task.outlines) == 1 else 's'} for {page}",
            where="things",
            fix=f"give {FEWEST} to {most} things",
        )
    if "mouths-objects" in options.needs:
        for thing in task.things:
            if thing.adult_only or thing.small_part:
                raise InputError(
                    f"{thing.name} ({thing.size_text()}) is a small part and not for a child who "
                    "mouths things",
                    where="things",
                    fix="leave it out, or take something larger",
                )
    for one, other, mm in near_twins(task.outlines):
        raise InputError(
            f"{one.name} ({one.size_text()}) and {other.name} ({other.size_text()}) differ by only "
            f"{mm:.1f} mm, so either would fit both outlines",
            where="things",
            fix="leave one of them out",
        )


# --- a theme's things -----------------------------------------------------------------------------


def _of_theme(theme: Theme, stage: int, options: Options) -> TraceMatchTask:
    """Things of the theme that differ as the stage asks and fit the page together.

    As many as the stage has and the paper holds; at stages 0 to 2 rather those that differ most,
    later rather those nearest in size. Coins and other small parts are never chosen.

    Raises:
        InputError: no such stage, or no two things of the theme that suit it.
    """
    known = things_of(theme)
    pool = tuple(thing for thing in known if not (thing.adult_only or thing.small_part))
    found = _sets(pool, stage, options)
    if not found:
        raise _no_set(theme, pool, stage, options)
    things, left_over = random.Random(f"{options.seed}:{stage}:things").choice(found)
    remarks = tuple(
        f"{thing.name} is not used: a small part is for adults."
        for thing in known
        if thing not in pool
    )
    return TraceMatchTask(stage, things, theme.title, left_over, theme.words[0].picture, remarks)


Set = tuple[tuple[Footprint, ...], tuple[Footprint, ...]]
"""Things, and outlines left over."""


def _sets(pool: tuple[Footprint, ...], stage: int, options: Options) -> list[Set]:
    """The best few sets of the largest number that differ enough and fit."""
    for upright in (True, False):
        for count, left_over in _counts(stage, options):
            found = _sets_of(pool, count, left_over, stage, _core(options), upright)
            if found:
                return list(found[: max(1, (len(found) + 1) // 2)])
    return []


def _core(options: Options) -> Options:
    """What matters for room on the page, so that one child's work serves the next.

    The measure bar takes the same room on either side.
    """
    needs = tuple(need for need in options.needs if need == "low-vision")
    return Options(paper=options.paper, needs=needs)


def _counts(stage: int, options: Options) -> Iterator[tuple[int, int]]:
    """Numbers of things and of outlines left over, the most outlines first."""
    most = int(setting("trace-match", stage, "things") or FEWEST)
    fewest = int(setting("trace-match", stage, "least_things") or FEWEST)
    spare = int(amount("trace-match", stage, "outlines_left_over"))
    least_spare = int(amount("trace-match", stage, "least_left_over"))
    room = MOST_FOR_LOW_VISION if is_low(options) else MOST_BOXES
    wanted = [
        (things, left)
        for things in range(fewest, most + 1)
        for left in range(least_spare, spare + 1)
        if things + left <= room
    ]
    yield from sorted(wanted, key=lambda pair: (-sum(pair), -pair[0]))
    # Too few things in the theme, or too large ones.
    for things in range(most, FEWEST - 1, -1):
        for left in range(spare, -1, -1):
            if (things, left) not in wanted and things + left <= room:
                yield things, left


@cache
def _sets_of(
    pool: tuple[Footprint, ...],
    count: int,
    left_over: int,
    stage: int,
    options: Options,
    upright: bool,
) -> tuple[Set, ...]:
    least = least_difference(stage)
    ranked = []
    for things in itertools.combinations(pool, count):
        nearest = min(difference(a, b) for a, b in itertools.combinations(things, 2))
        if nearest >= least and not near_twins(things):
            ranked.append((_rank(things, nearest, stage), things))
    ranked.sort(key=lambda item: item[0])
    found: list[Set] = []
    for _, things in ranked[:_SETS_TRIED]:
        if not left_over:
            if fits(things, stage, options, upright=upright):
                found.append((things, ()))
        else:
            ways = _left_over(things, left_over, stage, options, upright=upright)
            found += [(things, extra) for extra in ways]
        if len(found) >= 2 * _SETS_KEPT:
            break
    if stage <= 1:
        found = [one for one in found if _round_and_not(one[0])] or found
    return tuple(found[: 2 * _SETS_KEPT])


def _round_and_not(things: Sequence[Footprint]) -> bool:
    return len({thing.diameter is None for thing in things}) == 2


def _rank(things: Sequence[Footprint], nearest: float, stage: int) -> tuple[bool, float]:
    """Lower is better: different in form and size, and large, at first; near in size in the end."""
    same_form = stage <= 1 and not _round_and_not(things)
    if stage == 0:
        nearest += min(max(thing.width, thing.depth) for thing in things)
    return same_form, nearest if stage > 2 else -nearest


def _left_over(
    things: tuple[Footprint, ...], count: int, stage: int, options: Options, *, upright: bool
) -> list[tuple[Footprint, ...]]:
    """Ways to add outlines of a thing's form, a little larger or smaller, that still fit."""
    least = least_difference(stage)
    smallest = least_size(stage)
    candidates = [
        other
        for step in _STEPS_MM
        for thing in things
        for sign in (-1.0, 1.0)
        if max((other := _resized(thing, sign * (least + step))).width, other.depth) >= smallest
        and min(other.width, other.depth) >= smallest / 2.0
        and all(difference(other, each) >= least for each in things)
    ]
    if count > 1:  # what does not fit alone does not fit beside another
        candidates = [c for c in candidates if fits((*things, c), stage, options, upright=upright)]
        if not _fit_at_least(things, candidates, count, stage, options, upright=upright):
            return []
    found = []
    for extra in itertools.combinations(candidates, count):
        alike = any(difference(a, b) < least for a, b in itertools.combinations(extra, 2))
        shown = (*things, *extra)
        if not alike and not near_twins(shown) and fits(shown, stage, options, upright=upright):
            found.append(extra)
            if len(found) == _SETS_KEPT:
                break
    return found


def _fit_at_least(
    things: tuple[Footprint, ...],
    candidates: Sequence[Footprint],
    count: int,
    stage: int,
    options: Options,
    *,
    upright: bool,
) -> bool:
    """Whether outlines as small as the smallest sides of the candidates would fit.

    If they do not, no candidates do, and there is no need to try every few of them.
    """
    if len(candidates) < count:
        return False
    smallest = dataclasses.replace(
        candidates[0],
        width=min(c.width for c in candidates),
        depth=min(c.depth for c in candidates),
    )
    return fits((*things, *[smallest] * count), stage, options, upright=upright)


def _resized(thing: Footprint, by: float) -> Footprint:
    width, depth = round(thing.width + by, 2), round(thing.depth + by, 2)
    corner = width / 2.0 if thing.diameter is not None else thing.corner
    how = "larger" if by > 0 else "smaller"
    return Footprint(
        "", "", width, depth, corner, "computed", f"{thing.name}, {abs(by):g} mm {how}"
    )


def _no_set(theme: Theme, pool: tuple[Footprint, ...], stage: int, options: Options) -> InputError:
    if len(pool) < FEWEST:
        return InputError(
            f"{theme.title} has {len(pool) or 'no'} thing{'' if len(pool) == 1 else 's'} to match",
            where="objects.trace",
            fix="add things there, or make a shadow-match sheet",
        )
    a, b = max(itertools.combinations(pool, 2), key=lambda pair: difference(*pair))
    least = least_difference(stage)
    if difference(a, b) < least:
        return InputError(
            f"no two things of {theme.title} differ by the {least:g} mm of stage {stage}; the most "
            f"is {difference(a, b):.1f} mm, {a.name} and {b.name}",
            where="objects.trace",
            fix="add a thing of another size, or make a shadow-match sheet",
        )
    return InputError(
        f"no two things of {theme.title} that differ by {least:g} mm fit {options.paper.name} "
        f"paper with {gap_mm(stage, options):g} mm between them",
        where="objects.trace",
        fix="add a smaller thing, or make a shadow-match sheet",
    )
