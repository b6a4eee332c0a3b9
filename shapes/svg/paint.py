"""How an element is painted: its colours, gradients and dashes.

Source: SVG 2, chapter 13 (W3C, 2018).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from shapes.ink import Cap, Join
from shapes.path import Arc, Line, Path
from shapes.svg.guard import URL_RE, XLINK_HREF, local_name
from shapes.svg.values import is_zero, read_colour, read_length

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

PATTERN_GREY = "#808080"
"""Stands for a pattern or a gradient without colours: a page has to work in black and white
anyway."""
_GRADIENTS = ("linearGradient", "radialGradient")
_SHORTEST_DASH = 1e-3
_MOST_TEMPLATES = 8
"""Gradients may take their stops from another one; so often that is followed."""

Style = Mapping[str, str]


class Paints:
    """Looks up the colours of one drawing.

    Args:
        by_id: elements by their ``id``.
        own_style: what is said of an element itself.
        ignored: takes up what cannot be shown.
    """

    def __init__(
        self,
        by_id: Mapping[str, Element],
        own_style: Callable[[Element], Style],
        ignored: set[str],
    ) -> None:
        self._by_id, self._own_style, self._ignored = by_id, own_style, ignored

    def colour(self, style: Style, name: str, initial: str) -> str | None:
        """``#rrggbb`` of the property ``fill`` or ``stroke``; None if it is not painted."""
        if is_zero(style[f"{name}-opacity"]):
            return None
        value = style[name]
        if value.lower().startswith("url("):
            match = URL_RE.match(value)
            server = self._by_id.get(match[1][1:]) if match else None
            if server is not None:
                return self._served(server)
            value = value.partition(")")[2].strip() or "none"
        if value.lower() == "currentcolor":
            value = style["color"]
        colour = read_colour(value)
        if colour is None:
            self._ignored.add("colour")
            colour = read_colour(initial)
        return None if colour == "none" else colour

    def _served(self, server: Element) -> str | None:
        """One colour for a gradient: the mean of its stops that can be seen."""
        if local_name(server) not in _GRADIENTS:
            self._ignored.add("pattern")
            return PATTERN_GREY
        stops: list[str] = []
        for _ in range(_MOST_TEMPLATES):
            stops = [
                colour
                for stop in server
                if local_name(stop) == "stop" and (colour := self._stop(stop)) is not None
            ]
            target = (server.get("href") or server.get(XLINK_HREF) or "").strip()[1:]
            if stops or target not in self._by_id:
                break
            server = self._by_id[target]
        seen = [stop for stop in stops if stop != "none"]
        if not seen:
            return PATTERN_GREY if not stops else None
        channels = ([int(stop[i : i + 2], 16) for stop in seen] for i in (1, 3, 5))
        return "#" + "".join(f"{round(sum(parts) / len(seen)):02x}" for parts in channels)

    def _stop(self, stop: Element) -> str | None:
        style = self._own_style(stop)
        if is_zero(style.get("stop-opacity", "1")):
            return "none"
        return read_colour(style.get("stop-color", "#000000"))


def read_dash(text: str, diagonal: float, scale: float) -> tuple[float, ...]:
    """On/off lengths in units of the drawing; empty for a solid line.

    Args:
        diagonal: what 100 % counts, in user units.
        scale: units of the drawing in a user unit.
    """
    if text == "none":
        return ()
    lengths = [read_length(part, diagonal) for part in re.split(r"[\s,]+", text) if part]
    scaled = tuple(length * scale for length in lengths)
    if min(scaled, default=0.0) < 0 or sum(scaled) < _SHORTEST_DASH:
        return ()  # SVG 2, 13.5.6: a solid line; so are dashes nobody could see
    return scaled * 2 if len(scaled) % 2 else scaled


def read_cap(text: str) -> Cap:
    """``stroke-linecap``; anything unknown is its initial value."""
    return "round" if text == "round" else "square" if text == "square" else "butt"


def read_join(text: str) -> Join:
    """``stroke-linejoin``; anything unknown is its initial value."""
    return "round" if text == "round" else "bevel" if text == "bevel" else "miter"


def is_a_point(path: Path) -> bool:
    """Whether a path has no length; told by its corners, as measuring takes long."""
    return all(
        segment.length() == 0.0
        if isinstance(segment, Arc)
        else segment.start == segment.end
        and (isinstance(segment, Line) or segment.start == segment.c1 == segment.c2)
        for segment in path.segments
    )
