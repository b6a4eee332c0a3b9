"""The small languages inside SVG attributes: colours, lengths, transforms, ``style``.

Sources: SVG 2 (W3C, 2018), CSS Color 4 (W3C), CSS Values 4 (W3C).
"""

from __future__ import annotations

import colorsys
import math
import re

from shapes.affine import Affine
from shapes.errors import PictureError
from shapes.svg.path import read_numbers, shorten

MM_PER_PX = 25.4 / 96.0
"""CSS: 96 px to the inch."""

_PX_PER_UNIT = {
    "": 1.0,
    "px": 1.0,
    "pt": 96.0 / 72.0,
    "pc": 16.0,
    "mm": 96.0 / 25.4,
    "cm": 960.0 / 25.4,
    "q": 24.0 / 25.4,
    "in": 96.0,
    # No text is laid out here, so font-relative lengths use the CSS initial size of 16 px.
    "em": 16.0,
    "rem": 16.0,
    "ex": 8.0,
}
_LENGTH_RE = re.compile(
    r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*(%|[a-z]*)\s*", re.ASCII | re.IGNORECASE
)

# CSS Color 4, 6.1: the 148 named colours.
_NAMED: dict[str, str] = dict(
    re.findall(
        r"(\w+)=(\w+)",
        """
    aliceblue=f0f8ff antiquewhite=faebd7 aqua=00ffff aquamarine=7fffd4 azure=f0ffff beige=f5f5dc
    bisque=ffe4c4 black=000000 blanchedalmond=ffebcd blue=0000ff blueviolet=8a2be2 brown=a52a2a
    burlywood=deb887 cadetblue=5f9ea0 chartreuse=7fff00 chocolate=d2691e coral=ff7f50
    cornflowerblue=6495ed cornsilk=fff8dc crimson=dc143c cyan=00ffff darkblue=00008b
    darkcyan=008b8b darkgoldenrod=b8860b darkgray=a9a9a9 darkgreen=006400 darkgrey=a9a9a9
    darkkhaki=bdb76b darkmagenta=8b008b darkolivegreen=556b2f darkorange=ff8c00 darkorchid=9932cc
    darkred=8b0000 darksalmon=e9967a darkseagreen=8fbc8f darkslateblue=483d8b darkslategray=2f4f4f
    darkslategrey=2f4f4f darkturquoise=00ced1 darkviolet=9400d3 deeppink=ff1493 deepskyblue=00bfff
    dimgray=696969 dimgrey=696969 dodgerblue=1e90ff firebrick=b22222 floralwhite=fffaf0
    forestgreen=228b22 fuchsia=ff00ff gainsboro=dcdcdc ghostwhite=f8f8ff gold=ffd700
    goldenrod=daa520 gray=808080 green=008000 greenyellow=adff2f grey=808080 honeydew=f0fff0
    hotpink=ff69b4 indianred=cd5c5c indigo=4b0082 ivory=fffff0 khaki=f0e68c lavender=e6e6fa
    lavenderblush=fff0f5 lawngreen=7cfc00 lemonchiffon=fffacd lightblue=add8e6 lightcoral=f08080
    lightcyan=e0ffff lightgoldenrodyellow=fafad2 lightgray=d3d3d3 lightgreen=90ee90
    lightgrey=d3d3d3 lightpink=ffb6c1 lightsalmon=ffa07a lightseagreen=20b2aa lightskyblue=87cefa
    lightslategray=778899 lightslategrey=778899 lightsteelblue=b0c4de lightyellow=ffffe0
    lime=00ff00 limegreen=32cd32 linen=faf0e6 magenta=ff00ff maroon=800000 mediumaquamarine=66cdaa
    mediumblue=0000cd mediumorchid=ba55d3 mediumpurple=9370db mediumseagreen=3cb371
    mediumslateblue=7b68ee mediumspringgreen=00fa9a mediumturquoise=48d1cc mediumvioletred=c71585
    midnightblue=191970 mintcream=f5fffa mistyrose=ffe4e1 moccasin=ffe4b5 navajowhite=ffdead
    navy=000080 oldlace=fdf5e6 olive=808000 olivedrab=6b8e23 orange=ffa500 orangered=ff4500
    orchid=da70d6 palegoldenrod=eee8aa palegreen=98fb98 paleturquoise=afeeee palevioletred=db7093
    papayawhip=ffefd5 peachpuff=ffdab9 peru=cd853f pink=ffc0cb plum=dda0dd powderblue=b0e0e6
    purple=800080 rebeccapurple=663399 red=ff0000 rosybrown=bc8f8f royalblue=4169e1
    saddlebrown=8b4513 salmon=fa8072 sandybrown=f4a460 seagreen=2e8b57 seashell=fff5ee
    sienna=a0522d silver=c0c0c0 skyblue=87ceeb slateblue=6a5acd slategray=708090 slategrey=708090
    snow=fffafa springgreen=00ff7f steelblue=4682b4 tan=d2b48c teal=008080 thistle=d8bfd8
    tomato=ff6347 turquoise=40e0d0 violet=ee82ee wheat=f5deb3 white=ffffff whitesmoke=f5f5f5
    yellow=ffff00 yellowgreen=9acd32
    """,
    )
)


def read_length(text: str, percent_of: float) -> float:
    """A CSS length in px (user units).

    Args:
        text: number with an optional unit; ``%`` counts ``percent_of``.
        percent_of: what 100 % means, in px.

    Raises:
        PictureError: for anything else.
    """
    match = _LENGTH_RE.fullmatch(text)
    unit = match[2].lower() if match else ""
    if match is None or (unit != "%" and unit not in _PX_PER_UNIT):
        raise PictureError(
            f"has a length that cannot be read: '{shorten(text)}'", fix="save the drawing again"
        )
    factor = percent_of / 100.0 if unit == "%" else _PX_PER_UNIT[unit]
    value = float(match[1]) * factor
    if not math.isfinite(value):
        raise PictureError("has a number that is not finite", fix="save the drawing again")
    return value


def read_colour(text: str) -> str | None:
    """``#rrggbb`` for a CSS colour, ``none`` for a wholly transparent one, None if unknown."""
    name = text.strip().lower()
    if name in ("none", "transparent"):
        return "none"
    if name in _NAMED:
        return f"#{_NAMED[name]}"
    if re.fullmatch(r"#(?:[0-9a-f]{3,4}|[0-9a-f]{6}|[0-9a-f]{8})", name):
        digits = name[1:]
        if len(digits) < 6:
            digits = "".join(2 * digit for digit in digits)
        return "none" if digits[6:] == "00" else f"#{digits[:6]}"
    match = re.fullmatch(r"(rgb|hsl)a?\(([^()]*)\)", name)
    return _function_colour(match[1], match[2]) if match else None


def _function_colour(kind: str, arguments: str) -> str | None:
    parts = [part for part in re.split(r"[\s,/]+", arguments.strip()) if part]
    if len(parts) not in (3, 4):
        return None
    try:
        if len(parts) == 4 and _fraction(parts[3], 1.0) == 0:
            return "none"
        if kind == "rgb":
            rgb = [_fraction(part, 255.0) for part in parts[:3]]
        else:
            hue = float(parts[0].removesuffix("deg"))
            saturation, lightness = (_fraction(part, 100.0) for part in parts[1:3])
            rgb = list(colorsys.hls_to_rgb(hue % 360.0 / 360.0, lightness, saturation))
        return "#" + "".join(f"{math.floor(value * 255 + 0.5):02x}" for value in rgb)
    except ValueError:  # not a number, or not finite
        return None


def _fraction(text: str, full: float) -> float:
    """A number or percentage as a share of ``full``, held within 0 and 1."""
    value = float(text[:-1]) / 100.0 if text.endswith("%") else float(text) / full
    if not math.isfinite(value):
        raise ValueError(text)
    return min(1.0, max(0.0, value))


def is_zero(text: str) -> bool:
    """True if an opacity is zero (an unreadable one counts as opaque)."""
    try:
        return _fraction(text.strip(), 1.0) == 0
    except ValueError:
        return False


# The names are spelled out: with any word for a name, long nonsense would take quadratic time.
_TRANSFORM_RE = re.compile(
    r"[\s,]*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)[\s,]*", re.ASCII
)


def read_transform(text: str) -> Affine:
    """The map of a ``transform`` attribute (y down, as SVG has it).

    Raises:
        PictureError: for an unknown function or a wrong number of numbers.
    """
    result = Affine()
    position = 0
    while match := _TRANSFORM_RE.match(text, position):
        step = _transform_step(match[1], read_numbers(match[2]))
        if step is None:
            break
        result = step.then(result)
        position = match.end()
    if text[position:].strip(" \t\r\n\f,"):
        raise PictureError(
            f"has a transform that cannot be read: '{shorten(text)}'", fix="save the drawing again"
        )
    return result


def _transform_step(name: str, v: list[float]) -> Affine | None:
    if name == "matrix" and len(v) == 6:
        return Affine(*v)
    if name == "translate" and len(v) in (1, 2):
        return Affine.translation(v[0], v[1] if len(v) == 2 else 0.0)
    if name == "scale" and len(v) in (1, 2):
        return Affine.scaling(v[0], v[-1])
    if name == "rotate" and len(v) == 1:
        return Affine.rotation(v[0])
    if name == "rotate" and len(v) == 3:
        turn = Affine.rotation(v[0])
        return Affine.translation(-v[1], -v[2]).then(turn).then(Affine.translation(v[1], v[2]))
    if name == "skewX" and len(v) == 1:
        return Affine(c=math.tan(math.radians(v[0])))
    if name == "skewY" and len(v) == 1:
        return Affine(b=math.tan(math.radians(v[0])))
    return None


def read_viewbox(text: str) -> tuple[float, float, float, float]:
    """``min-x min-y width height`` of a ``viewBox``.

    Raises:
        PictureError: unless there are four numbers with a width and a height above 0.
    """
    numbers = read_numbers(text)
    if len(numbers) != 4 or numbers[2] <= 0 or numbers[3] <= 0:
        raise PictureError(
            f"has a viewBox that cannot be read: '{shorten(text)}'", fix="save the drawing again"
        )
    return numbers[0], numbers[1], numbers[2], numbers[3]


def fit_viewbox(
    box: tuple[float, float, float, float], width: float, height: float, ratio: str
) -> Affine:
    """The map that puts a viewBox into a viewport ``width`` by ``height`` (SVG 2, 8.2)."""
    sx, sy = width / box[2], height / box[3]
    if ratio.split()[:1] != ["none"]:
        sx = sy = max(sx, sy) if "slice" in ratio else min(sx, sy)
    share_x = 0.0 if "xMin" in ratio else 1.0 if "xMax" in ratio else 0.5
    share_y = 0.0 if "YMin" in ratio else 1.0 if "YMax" in ratio else 0.5
    return Affine(
        a=sx,
        d=sy,
        e=-box[0] * sx + (width - box[2] * sx) * share_x,
        f=-box[1] * sy + (height - box[3] * sy) * share_y,
    )


def read_declarations(text: str) -> dict[str, str]:
    """``name: value`` pairs of a ``style`` attribute; later ones win."""
    declarations: dict[str, str] = {}
    for part in _without_comments(text).split(";"):
        name, colon, value = part.partition(":")
        if colon:
            declarations[name.strip().lower()] = value.partition("!")[0].strip()
    return declarations


def _without_comments(css: str) -> str:
    kept: list[str] = []
    position = 0
    while (start := css.find("/*", position)) >= 0:
        kept.append(css[position:start])
        end = css.find("*/", start + 2)
        if end < 0:
            return "".join(kept)
        position = end + 2
    kept.append(css[position:])
    return " ".join(kept)
