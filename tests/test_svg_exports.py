"""Drawings that programs write are read as cairosvg renders them: silhouettes over each other."""

from __future__ import annotations

import io
import math
from pathlib import Path as FilePath

import cairocffi
import drawsvg
import pytest
import svgwrite

from shapes.pictures.own import load_file
from tests.masks import filled, inner, outline_mask, overlap, rendered
from tests.random_drawings import SIZE, drawing

SIDE = 500
RIM = 80
DOTS = 1080
ALIKE = 0.98


def by_svgwrite() -> str:
    """A duck of style rules with classes, a clip path and a group turned and stretched."""
    d = svgwrite.Drawing(size=("200", "200"), viewBox="0 0 200 200")
    d.defs.add(d.style("svg g .body{fill:#ffcc33;stroke:#000;stroke-width:4} #beak{fill:#ff8800}"))
    clip = d.defs.add(d.clipPath(id="water"))
    clip.add(d.rect((0, 0), (200, 150)))
    group = d.add(d.g(transform="rotate(5 100 100) scale(1.1 0.9)", stroke_linejoin="bevel"))
    group.add(d.ellipse((100, 120), (60, 40), class_="body", clip_path="url(#water)"))
    group.add(d.circle((140, 70), 25, class_="body"))
    group.add(d.polygon([(160, 62), (185, 70), (160, 80)], id="beak"))
    group.add(d.path("M40 120L20 90", stroke="#000", stroke_width=12, stroke_linecap="square"))
    return str(d.tostring())


def by_drawsvg() -> str:
    """A house with a gradient, a thick roof, arcs and a part used twice."""
    d = drawsvg.Drawing(200, 200)
    sky = drawsvg.LinearGradient(0, 0, 0, 200)
    sky.add_stop(0, "#3366ff")
    sky.add_stop(1, "#99ccff")
    d.append(drawsvg.Rectangle(50, 80, 100, 90, fill=sky, stroke="black", stroke_width=5))
    d.append(drawsvg.Lines(40, 85, 100, 30, 160, 85, close=False, fill="none", stroke="#a33",
                           stroke_width=14, stroke_miterlimit=10))  # fmt: skip
    d.append(drawsvg.Arc(100, 170, 20, 0, 180, cw=False, fill="#642", stroke="none"))
    d.append(
        drawsvg.Path(stroke="#e90", stroke_width=8, fill="none", stroke_linecap="square")
        .M(150, 20)
        .A(20, 20, 0, True, True, 180, 45)
    )
    d.append(drawsvg.Use(drawsvg.Circle(0, 0, 9, fill="#393"), 30, 150))
    return str(d.as_svg())


def by_cairo() -> str:
    """A fish of Bezier curves, clipped, under a matrix that is no similarity."""
    file = io.BytesIO()
    surface = cairocffi.SVGSurface(file, 200, 200)
    c = cairocffi.Context(surface)
    c.rectangle(20, 20, 150, 160)
    c.clip()
    c.translate(20, 40)
    c.scale(1.4, 0.8)
    c.move_to(10, 60)
    c.curve_to(30, 0, 90, 0, 110, 60)
    c.curve_to(90, 120, 30, 120, 10, 60)
    c.set_source_rgb(0.2, 0.6, 0.8)
    c.fill_preserve()
    c.set_source_rgb(0, 0, 0)
    c.set_line_width(6)
    c.set_line_join(cairocffi.LINE_JOIN_MITER)
    c.stroke()
    c.move_to(105, 60)
    c.line_to(140, 30)
    c.line_to(140, 90)
    c.close_path()
    c.stroke()
    surface.finish()
    return file.getvalue().decode()


def by_hand() -> str:
    """What drawing programs were seen to write: a document type, rules, gradients."""
    spikes = "M" + "L".join(
        f"{100 + r * math.cos(i * 0.4):.1f} {110 + r * math.sin(i * 0.4):.1f}"
        for i, r in enumerate((70, 40) * 7 + (70,))
    )
    return (
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        'viewBox="0 0 200 200"><style>.st0{fill:url(#b);stroke:#1d1d1b;stroke-width:3;'
        "stroke-miterlimit:10} g > .st1{fill:none;stroke:#1d1d1b;stroke-width:8}</style>"
        '<defs><linearGradient id="a"><stop offset="0" style="stop-color:#fff200"/>'
        '<stop offset="1" style="stop-color:#f7941d"/></linearGradient>'
        '<linearGradient id="b" xlink:href="#a"/>'
        '<clipPath id="c"><circle cx="100" cy="60" r="45"/></clipPath></defs>'
        f'<path class="st0" d="{spikes}z"/><g clip-path="url(#c)">'
        '<path class="st1" d="M20 60H180M100 5V100"/></g></svg>'
    )


MAKERS = {"svgwrite": by_svgwrite, "drawsvg": by_drawsvg, "cairo": by_cairo, "by hand": by_hand}


@pytest.mark.parametrize("name", MAKERS)
def test_exports(name: str, tmp_path: FilePath) -> None:
    svg = MAKERS[name]()
    file = tmp_path / "my.svg"
    file.write_text(svg)
    picture = load_file(file)
    assert picture.left_out == ()
    ours = outline_mask(picture, SIDE, 200.0)
    assert overlap(ours, filled(rendered(svg.encode(), SIDE))) >= ALIKE


@pytest.mark.parametrize("number", range(0, 99, 7))
def test_caps_corners_and_transforms(number: int, tmp_path: FilePath) -> None:
    """All three ends with all three corners, closed and open, turned, mirrored and stretched."""
    # With a rim, as some reach over the edge; and white is not seen on paper.
    side = SIZE + 2 * RIM
    svg = drawing(number).replace(f"0 0 {SIZE} {SIZE}", f"-{RIM} -{RIM} {side} {side}")
    file = tmp_path / "my.svg"
    file.write_text(svg)
    ours = outline_mask(load_file(file), DOTS, float(side))
    seen = svg.replace('fill="#ffffff"', 'fill="none"')
    theirs = filled(rendered(seen.encode(), DOTS))
    # In a thin drawing most dots lie on an edge, where they may fall on either side.
    assert overlap(ours, theirs) >= ALIKE or not inner(ours != theirs).any()
