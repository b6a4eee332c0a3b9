"""The rules of a drawing's ``<style>`` elements, matched by tinycss2 and cssselect2.

Both come with cairosvg; they are loaded only for a drawing that has rules. What depends on a
device or on a state, and selectors that could take long, select nothing; ``skipped`` tells of them.

Source: Selectors Level 3 and CSS Cascading and Inheritance Level 3 (W3C).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from shapes.errors import PictureError
from shapes.svg.guard import local_name

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MAX_RULES = 1000
"""Most selectors that the style sheets of one drawing may have."""
MAX_MATCHES = 5_000_000
"""Most steps of matching, counted before any is taken: about five seconds of work. Each element is
matched with each selector, once for each chain of elements that it is in."""

_HARMLESS = ("charset", "namespace", "font-face", "font-feature-values", "page")
_NOTHING: tuple[dict[str, str], dict[str, str]] = ({}, {})

Rule = tuple[list[Any], dict[str, str], dict[str, str]]


class StyleSheet:
    """What the rules of a drawing say of its elements.

    Raises:
        PictureError: for too many selectors, or too many for so many elements.
    """

    def __init__(self, root: Element) -> None:
        self.skipped = False
        self._said: dict[Element, tuple[dict[str, str], dict[str, str]]] = {}
        texts = [
            "".join(element.itertext()) for element in root.iter() if local_name(element) == "style"
        ]
        if any(texts):
            self._match(root, list(self._rules("\n".join(texts))))

    def declarations(self, element: Element) -> tuple[Mapping[str, str], Mapping[str, str]]:
        """What the rules say of an element, and what of it is said to be important."""
        return self._said.get(element, _NOTHING)

    def _rules(self, css: str) -> Iterator[Rule]:
        import tinycss2

        count = 0
        for rule in tinycss2.parse_stylesheet(css, skip_comments=True, skip_whitespace=True):
            if rule.type == "at-rule" and rule.lower_at_keyword in _HARMLESS:
                continue
            if rule.type != "qualified-rule":
                self.skipped = True
                continue
            normal, important = _declared(rule.content)
            for selector in _selectors(rule.prelude):
                count += 1
                if count > MAX_RULES:
                    raise PictureError(
                        f"has more than {MAX_RULES} style rules",
                        fix="save it with plain attributes",
                    )
                yield selector, normal, important

    def _match(self, root: Element, rules: Sequence[Rule]) -> None:
        from cssselect2 import ElementWrapper, Matcher, compile_selector_list
        from cssselect2.parser import SelectorError

        matcher = Matcher()
        count, depth, steps = sum(1 for _ in root.iter()), _depth(root), 0
        for selector, normal, important in rules:
            joined = _joined(selector)
            if joined is None:
                self.skipped = True
                continue
            steps += count * depth**joined
            if steps > MAX_MATCHES:
                raise PictureError(
                    "has too many style rules for so many elements",
                    fix="save it with plain attributes",
                )
            try:
                for compiled in compile_selector_list(selector):
                    matcher.add_selector(compiled, (normal, important))
            except SelectorError:
                self.skipped = True
        for wrapper in ElementWrapper.from_xml_root(root).iter_subtree():
            # Sorted by specificity and place: later ones win.
            for *_, (normal, important) in matcher.match(wrapper):
                said = self._said.setdefault(wrapper.etree_element, ({}, {}))
                said[0].update(normal)
                said[1].update(important)


def _selectors(prelude: Sequence[Any]) -> Iterator[list[Any]]:
    """The selectors of a list, each as its tokens."""
    selector: list[Any] = []
    for token in prelude:
        if token == ",":
            yield selector
            selector = []
        elif token.type != "comment":
            selector.append(token)
    yield selector


def _joined(selector: Sequence[Any]) -> int | None:
    """In how many ways a selector goes from element to element; None if it is not matched here."""
    if any(token == ":" or token == "~" or token.type == "error" for token in selector):
        return None
    # Blanks beside a joint, or at either end, join nothing: what counts is what lies between.
    joints = (token.type == "whitespace" or token in (">", "+") for token in selector)
    return max(0, sum(not joint for joint, _ in itertools.groupby(joints)) - 1)


def _depth(root: Element) -> int:
    deepest, level = 0, [root]
    while level:
        deepest, level = deepest + 1, [child for element in level for child in element]
    return deepest


def _declared(content: Sequence[Any]) -> tuple[dict[str, str], dict[str, str]]:
    """``name: value`` pairs of a rule, the important ones apart."""
    import tinycss2

    said: tuple[dict[str, str], dict[str, str]] = ({}, {})
    for part in tinycss2.parse_declaration_list(content, skip_comments=True, skip_whitespace=True):
        if part.type == "declaration":
            said[part.important][part.lower_name] = tinycss2.serialize(part.value).strip()
    return said
