"""Measures the finished marks of a page against the guidance of a skill and stage.

What is measured is what is printed: widths, lengths, bends and gaps of the marks themselves, found
by their roles, whichever kind made the page or whichever program drew it. Every measured value is
returned as a finding, inside or outside; a finding speaks of the page, never of a child.

Lengths may be off by 0.05 mm (coordinates are rounded to 0.01 mm and curves flattened to 0.02 mm),
radii by 1 %, angles by half a degree, before a value counts as outside.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from shapes.affine import Point
from shapes.path import Arc, BBox, Line, Path
from shapes.segments import point_to_segment
from sheets.check.distances import SAG_MM, Ink, box_gap, closest, ink_box, is_near, line_gap
from sheets.check.guidance import Limit, limit_in, limits
from sheets.check.items import item_findings
from sheets.check.known import OutlineForm, known_form
from sheets.check.overlap import touching
from sheets.check.rows import row_findings, strip_findings
from sheets.page.model import WHITE, Finding, Mark, Page, Role, Stroke, Text
from sheets.page.palette import contrast

LENGTH_MM = 0.05
RADIUS_SHARE = 0.01
ANGLE_DEG = 0.5

_LINES = (Role.CUT, Role.ENTRY, Role.FOLD, Role.TRACE)
_MAY_RUN_OFF = (Role.CUT, Role.ENTRY, Role.FOLD, Role.ADULT)
_BARS = ("bar-x", "bar-y")
_SHORTEST_MM = 0.05  # a shorter path is a dot, not a line

Limits = Mapping[str, Limit]


def check_page(page: Page, skill: str, stage: int) -> tuple[Finding, ...]:
    """Every value of a page that the guidance of the skill has a limit for at the stage.

    Of distances (gaps, clearance, edge) the smallest one is returned and every one outside.

    Raises:
        InputError: no such skill or stage.
    """
    bounds = limits(skill, stage)
    return (
        *_everywhere(page, bounds),
        *_cutting(page, bounds),
        *item_findings(page, bounds),
        *row_findings(page, bounds),
        *strip_findings(page, bounds),
    )


def outside(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings outside guidance."""
    return tuple(finding for finding in findings if finding.outside)


def as_rows(findings: Sequence[Finding]) -> list[dict[str, object]]:
    """The findings as plain rows with the fields of :class:`~sheets.page.model.Finding`."""
    return [dataclasses.asdict(finding) for finding in findings]


# --- every page -----------------------------------------------------------------------------------


def _everywhere(page: Page, bounds: Limits) -> Iterator[Finding]:
    yield from _edge(page, bounds["edge_distance"])
    yield from _overlaps(page, bounds["overlap"])
    for mark in page.marks:
        if isinstance(mark, Text) and mark.role is not Role.ADULT and mark.text.strip():
            yield bounds["text_size"].finding(mark.size_pt, name_of(mark), 0.01)
        elif isinstance(mark, Stroke) and mark.role in _LINES:
            ratio = contrast(mark.colour, WHITE)
            yield bounds["line_contrast"].finding(ratio, name_of(mark))
        elif isinstance(mark, Stroke) and mark.role is Role.FURNITURE and mark.id in _BARS:
            longest = max((path.length for path in mark.paths), default=0.0)
            yield bounds["bar_length"].finding(longest, mark.id, 0.001)


def name_of(mark: Mark, path: int | None = None) -> str:
    """What a finding calls a mark: its id or role, never its text, for names stay private."""
    name = mark.id or mark.role.value
    return name if path is None else f"{name} {path + 1}"


def lines_of(stroke: Stroke) -> list[Path]:
    """The paths of a mark that are lines, not dots; a finding counts these."""
    return [path for path in stroke.paths if path.length >= _SHORTEST_MM]


def _edge(page: Page, limit: Limit) -> Iterator[Finding]:
    found = [
        (distance, name_of(mark))
        for mark in page.marks
        if (distance := _edge_distance(mark, page)) is not None
    ]
    found.sort(key=lambda item: item[0])
    for i, (distance, name) in enumerate(found):
        if i == 0 or not limit.allows(distance, LENGTH_MM):
            yield limit.finding(distance, name, LENGTH_MM)


def _overlaps(page: Page, limit: Limit) -> Iterator[Finding]:
    """One finding for each pair that touches, or one that there is none."""
    pairs = touching(page.marks)
    if not pairs:
        yield limit.finding(0.0)
    for a, b in pairs:
        yield limit.finding(1.0, f"{name_of(a)}, {name_of(b)}")


def _edge_distance(mark: Mark, page: Page) -> float | None:
    """From a mark's ink to the nearest paper edge that none of its lines runs off on purpose."""
    if not (isinstance(mark, Stroke) and mark.role in _MAY_RUN_OFF):
        box = ink_box(mark)
        return None if box is None else min(_margins(box, page).values())
    distances: list[float] = []
    for path in mark.paths:
        margins = _margins(path.bbox.grown(mark.width / 2.0), page)
        if not path.closed:
            for x, y in (path.start, path.end):
                ends = _margins(BBox(x, y, x, y), page)
                for side, distance in ends.items():
                    if distance <= 0.01:
                        margins.pop(side, None)
        distances += margins.values()
    return min(distances, default=None)


def _margins(box: BBox, page: Page) -> dict[str, float]:
    return {
        "left": box.x0,
        "foot": box.y0,
        "right": page.paper.width - box.x1,
        "head": page.paper.height - box.y1,
    }


# --- cutting --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Cut:
    """One line or outline the child cuts; ``half`` is half its printed width."""

    path: Path
    stroke: Stroke
    name: str
    half: float

    @property
    def entry(self) -> bool:
        return self.stroke.role is Role.ENTRY


def _cutting(page: Page, bounds: Limits) -> Iterator[Finding]:
    """The values of lines to cut against the limits that are there."""
    if "cuts_per_page" not in bounds:
        return
    cuts: list[_Cut] = []
    for mark in page.marks:
        if not isinstance(mark, Stroke) or mark.role not in (Role.CUT, Role.ENTRY):
            continue
        lines = lines_of(mark)
        for name in ("line_width", "widest_line"):
            if name in bounds and lines:
                yield bounds[name].finding(mark.width, name_of(mark), 0.01)
        for i, path in enumerate(lines):
            name = name_of(mark, i if len(lines) > 1 else None)
            cuts.append(_Cut(path, mark, name, mark.width / 2.0))
    yield bounds["cuts_per_page"].finding(float(sum(not cut.entry for cut in cuts)))
    for cut in cuts:
        yield from _one_cut(cut, bounds)
    yield from _joins(cuts, bounds)
    if "outline_gap" in bounds:
        yield from _gaps(cuts, bounds["outline_gap"])
    if "clearance" in bounds:
        yield from _clearances(page, cuts, bounds["clearance"])


def _one_cut(cut: _Cut, bounds: Limits) -> Iterator[Finding]:
    path, closed = cut.path, cut.path.closed

    def of(name: str, closed: bool = closed) -> Limit | None:
        return limit_in(bounds, name, closed=closed)

    if limit := of("cut_length"):
        yield limit.finding(path.length, cut.name, LENGTH_MM)
    tolerance, limit = of("tolerance"), of("steering_index")
    if limit and tolerance and tolerance.maximum:
        corridor = 2.0 * tolerance.maximum
        yield limit.finding(path.length / corridor, cut.name, LENGTH_MM / corridor)
    if not any(of(name) for name in _OF_FORM):
        return  # measuring a form takes long
    form = _form(path)
    for name, radius in (("bend_radius", form.bend), ("hollow_radius", form.hollow)):
        limit = of(name)
        # An open line has no inside: its bends to either side are all bends.
        if limit and (closed or name == "bend_radius") and (radius or limit.words):
            slack = LENGTH_MM + RADIUS_SHARE * (radius or 0.0)
            yield limit.finding(radius, cut.name, slack)
    # A line with both a curve and corners has to keep to what an outline may have.
    if limit := of("corners", closed=closed or form.bend is not None):
        yield limit.finding(float(len(form.angles)), cut.name)
    if (limit := of("interior_angle")) and form.angles:
        yield limit.finding(min(form.angles), cut.name, ANGLE_DEG)
    if not closed:
        return
    if limit := of("hollow_corners"):
        yield limit.finding(float(form.hollow_corners), cut.name)
    if limit := of("piece_size"):
        yield limit.finding(max(path.bbox.width, path.bbox.height), cut.name, LENGTH_MM)
    for name, width in (("neck", form.neck), ("notch", form.notch)):
        if (limit := of(name)) and width is not None:
            yield limit.finding(width, cut.name, LENGTH_MM)


_OF_FORM = (
    "bend_radius",
    "hollow_radius",
    "corners",
    "interior_angle",
    "hollow_corners",
    "piece_size",
    "neck",
    "notch",
)
_PLAIN_MM = 5.0  # straight parts this long are no chords of a curve
_PLAIN_TURN_DEG = 15.0
_FLAT_MM = 0.1


def _form(path: Path) -> OutlineForm:
    """Straight lines with a turn and single arcs are read off; everything else is measured."""
    found = known_form(path) or _flat_form(path) if path.closed else _plain_form(path)
    return found or measured_form(path)


def measured_form(path: Path) -> OutlineForm:
    """What the geometry library measures on one outline."""
    from shapes.measure.measure import measure

    found = measure(path)
    return OutlineForm(
        bend=found.min_bend_radius,
        hollow=found.min_hollow_radius,
        angles=tuple(corner.sharp_deg for corner in found.corners),
        hollow_corners=sum(corner.hollow for corner in found.corners),
        neck=found.neck,
        notch=found.notch,
    )


def _flat_form(path: Path) -> OutlineForm | None:
    """An outline that goes out and back on itself encloses nothing: its neck is 0."""
    return OutlineForm(neck=0.0) if is_flat(path) else None


def is_flat(path: Path) -> bool:
    """Whether a path runs along one straight line only, so that it encloses nothing."""
    points = path.flatten(SAG_MM)
    (x0, y0), (x1, y1) = points[0], max(points, key=lambda p: math.dist(p, points[0]))
    reach = math.dist((x0, y0), (x1, y1))
    for x, y in points:
        off = abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0))
        if off > _FLAT_MM * reach:
            return False
    return True


def _plain_form(path: Path) -> OutlineForm | None:
    only = path.segments[0]
    if isinstance(only, Arc):
        plain = len(path.segments) == 1 and only.radius >= _PLAIN_MM and abs(only.sweep_deg) >= 30.0
        return OutlineForm(bend=only.radius) if plain else None
    if not all(isinstance(s, Line) and s.length() >= _PLAIN_MM for s in path.segments):
        return None if len(path.segments) > 1 or not isinstance(only, Line) else OutlineForm()
    angles = []
    for before, after in itertools.pairwise(path.segments):
        turn = _turn_deg(before.tangent_at(1.0), after.tangent_at(0.0))
        if turn < _PLAIN_TURN_DEG:
            return None
        angles.append(180.0 - turn)
    return OutlineForm(angles=tuple(angles))


def _turn_deg(a: Point, b: Point) -> float:
    """Degrees between two directions, 0 to 180."""
    (ax, ay), (bx, by) = a, b
    return abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by)))


_MEET_MM = 0.3


def _joins(cuts: Sequence[_Cut], bounds: Limits) -> Iterator[Finding]:
    """Corners where ways in run into their lines: scissors that turn there meet one."""
    limit = limit_in(bounds, "corners")
    if limit is None:
        return
    for entry in cuts:
        if not entry.entry:
            continue
        for line in cuts:
            if line.entry:
                continue
            for way in (entry.path, entry.path.reversed()):  # it may be drawn from the line on
                if is_near(way.end, line.path, _MEET_MM):
                    turned = _turn_into(way, line.path) >= _PLAIN_TURN_DEG
                    yield limit.finding(float(turned), f"{entry.name}, {line.name}")
                    break


def _turn_into(entry: Path, line: Path) -> float:
    """Degrees between a way in and the line at the point where they meet, whichever way round."""
    onward, end = entry.segments[-1].tangent_at(1.0), entry.end
    points = line.flatten(SAG_MM)
    if line.closed:
        points.append(points[0])
    elif math.dist(end, points[-1]) < math.dist(end, points[0]):
        points.reverse()  # an open line is cut from where the way in meets it
    turns = []
    for a, b in itertools.pairwise(points):
        if point_to_segment(end, a, b) <= _MEET_MM:
            turn = _turn_deg(onward, (b[0] - a[0], b[1] - a[1]))
            turns.append(min(turn, 180.0 - turn) if line.closed else turn)
    return min(turns)


def _gaps(cuts: Sequence[_Cut], limit: Limit) -> Iterator[Finding]:
    pairs = []
    for i, a in enumerate(cuts):
        for b in cuts[i + 1 :]:
            if _belong_together(a, b):
                continue
            low = box_gap(a.path.bbox, b.path.bbox) - a.half - b.half
            pairs.append((max(0.0, low), lambda a=a, b=b: _edge_gap(a, b), f"{a.name}, {b.name}"))
    for value, names in closest(pairs, _floor(limit)):
        yield limit.finding(value, names, LENGTH_MM)


def _floor(limit: Limit) -> float:
    return (limit.minimum or 0.0) - LENGTH_MM


def _edge_gap(a: _Cut, b: _Cut) -> float:
    """Between the edges of two printed lines; below 0 where they run into each other."""
    return line_gap(a.path, b.path) - a.half - b.half


def _belong_together(a: _Cut, b: _Cut) -> bool:
    """Lanes of one mark that meet (a grid), or an outline and the way in that ends on it."""
    apart = box_gap(a.path.bbox, b.path.bbox) > LENGTH_MM
    if a.stroke is b.stroke and not apart and line_gap(a.path, b.path) <= LENGTH_MM:
        return True
    if a.entry == b.entry:
        return False
    entry, outline = (a, b) if a.entry else (b, a)
    reach = outline.half + LENGTH_MM
    return any(is_near(end, outline.path, reach) for end in (entry.path.start, entry.path.end))


def _clearances(page: Page, cuts: Sequence[_Cut], limit: Limit) -> Iterator[Finding]:
    pairs = []
    for mark in page.marks:
        if isinstance(mark, Text) or mark.role is not Role.ART:
            continue
        box = ink_box(mark)
        if box is None:
            continue
        ink = Ink(mark, box)
        for cut in cuts:
            low = max(0.0, box_gap(box, cut.path.bbox) - cut.half)
            names = f"{name_of(mark)}, {cut.name}"
            pairs.append((low, lambda ink=ink, cut=cut: ink.distance(cut.path) - cut.half, names))
    for value, names in closest(pairs, _floor(limit)):
        if math.isfinite(value):
            yield limit.finding(value, names, LENGTH_MM)
