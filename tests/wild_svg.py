"""Drawings as no program writes them, for the tests of what reads SVG files."""

from __future__ import annotations

from hypothesis import strategies as st


def wrapped(content: str, attributes: str = 'viewBox="0 0 100 100"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{content}</svg>'.encode()


WILD_NUMBER = st.one_of(
    st.floats(-1e8, 1e8).map(str),
    st.sampled_from(["0", "-1", "1e999", "-1e308", "1e-320", "NaN", "inf", "", "1e", "50%", "3mm"]),
)
WILD_LIST = st.lists(WILD_NUMBER, max_size=8).map(" ".join)
WILD_PATH = st.lists(
    st.tuples(st.sampled_from("MmLlHhVvCcSsQqTtAaZzx"), WILD_LIST), max_size=6
).map(lambda steps: "M0 0" + "".join(letter + numbers for letter, numbers in steps))
WILD_TRANSFORM = st.builds(
    "{}({})".format,
    st.sampled_from(["matrix", "translate", "scale", "rotate", "skewX", "skewY", "turn"]),
    WILD_LIST,
)
NAMES = st.sampled_from(
    ["x", "y", "width", "height", "r", "rx", "ry", "cx", "cy", "x1", "y2", "stroke-width",
     "stroke-dasharray", "stroke-miterlimit", "opacity", "points", "viewBox", "id", "href",
     "fill", "stroke", "style", "class", "preserveAspectRatio"]
)  # fmt: skip
VALUES = st.one_of(
    WILD_NUMBER, WILD_LIST, st.sampled_from(["#a", "#b", "a", "b", "none", "url(#a)", "fill:red"])
)
ATTRIBUTES = st.builds(
    lambda pairs, data, transform: {**dict(pairs), "d": data, "transform": transform},
    st.lists(st.tuples(NAMES, VALUES), max_size=5),
    WILD_PATH,
    st.one_of(st.just(""), WILD_TRANSFORM),
)
TAGS = st.sampled_from(
    ["path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "g", "use", "symbol",
     "svg", "a", "switch", "defs", "text", "linearGradient"]
)  # fmt: skip


def element(tag: str, attributes: dict[str, str], content: str) -> str:
    written = " ".join(f'{name}="{value}"' for name, value in attributes.items())
    return f"<{tag} {written}>{content}</{tag}>"


ELEMENTS = st.recursive(
    st.builds(element, TAGS, ATTRIBUTES, st.just("")),
    lambda inner: st.builds(element, TAGS, ATTRIBUTES, st.lists(inner, max_size=3).map("".join)),
    max_leaves=6,
)
