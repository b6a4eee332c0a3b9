"""The practice lines and shapes to cut, with what each is: measured on the shapes themselves."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.basic import SHAPES, practice


@dataclass(frozen=True, slots=True)
class ShapeRow:
    """A practice shape at its usual size; lengths in mm.

    Args:
        stages: of cutting that it suits.
        closed: an outline; else a line from edge to edge.
        corners: how many; ``sharpest`` is the angle of the sharpest one, None without corners.
        bend: radius of the tightest bend, None without bends.
        turning: all change of direction added up, degrees.
    """

    name: str
    stages: tuple[int, ...]
    closed: bool
    width: float
    height: float
    length: float
    corners: int
    sharpest: int | None
    bend: float | None
    turning: int

    def sentence(self) -> str:
        """What it is, such as ``outline, 76 x 76 mm, 4 corners, the sharpest 90 degrees``."""
        parts = ["outline" if self.closed else "line"]
        if self.height < 0.5:
            parts.append(f"{self.length:.0f} mm long")
        else:
            parts.append(f"{self.width:.0f} x {self.height:.0f} mm")
            parts.append(f"{self.length:.0f} mm to cut")
        if self.corners and self.sharpest is not None:
            one = "1 corner of" if self.corners == 1 else f"{self.corners} corners, the sharpest"
            parts.append(f"{one} {self.sharpest} degrees")
        if self.bend is not None:
            parts.append(f"tightest bend of {round(self.bend, 1):g} mm radius")
        turning = f"turns {self.turning} degrees in all" if self.turning else "straight"
        return ", ".join((*parts, turning))


def shape_rows() -> tuple[ShapeRow, ...]:
    """Every practice shape, easiest stage first."""
    from shapes.measure.measure import measure

    rows = []
    for name, shape in SHAPES.items():
        found = measure(practice(name))
        angles = [c.sharp_deg for c in found.corners]
        radii = [r for r in (found.min_bend_radius, found.min_hollow_radius) if r is not None]
        rows.append(
            ShapeRow(
                name=name,
                stages=tuple(shape.stages),
                closed=found.closed,
                width=found.bbox.width,
                height=found.bbox.height,
                length=found.length,
                corners=len(angles),
                sharpest=round(min(angles)) if angles else None,
                bend=min(radii) if radii else None,
                turning=round(found.turning_deg),
            )
        )
    return tuple(rows)
