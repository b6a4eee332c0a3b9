"""Opens an SVG file and turns away what a plain drawing has no need of.

A drawing from elsewhere may hold scripts, load files, or be built to blow up when read. Nothing of
that is ever run or loaded here; it is refused all the same, so that it cannot travel on unnoticed.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from shapes.errors import PictureError

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MAX_BYTES = 5_000_000
MAX_ELEMENTS = 10_000
"""Most elements a drawing may have, counted again each time one is used."""

MAX_ATTRIBUTES = 200
"""Most attributes of one element, and most of its classes: each is looked at for every element in
it. Drawing programs write a dozen."""

_SVG = "http://www.w3.org/2000/svg"
_XHTML = "http://www.w3.org/1999/xhtml"
XLINK_HREF = "{http://www.w3.org/1999/xlink}href"
_REFUSED = {
    **dict.fromkeys(("script", "handler", "listener"), "a script"),
    **dict.fromkeys(("foreignobject", "iframe", "object", "embed"), "foreign content"),
    **dict.fromkeys(("image", "feimage", "img", "video", "audio", "canvas"), "an embedded image"),
}
_USUAL_TYPE = re.compile(r"-//W3C//DTD SVG [0-9][\w.]*(?: [A-Z][a-z]+)?//EN")
URL_RE = re.compile(r"url\(\s*['\"]?\s*([^'\")\s]*)", re.IGNORECASE)


def parse(data: bytes) -> Element:
    """The root element of an SVG file.

    Raises:
        PictureError: if the file is empty, too large, not XML, not SVG, or has a document type.
    """
    from xml.etree.ElementTree import ParseError

    from defusedxml.common import DefusedXmlException

    if not data.strip():
        raise PictureError("is empty", fix="choose another file")
    if len(data) > MAX_BYTES:
        raise PictureError(
            f"is larger than {MAX_BYTES // 1_000_000} MB", fix="simplify the drawing"
        )
    try:
        parser = _parser()
        parser.feed(data)
        root: Element = parser.close()
    except DefusedXmlException:
        raise PictureError(
            "has a document type or entities, which are not read",
            fix="save it as plain SVG, or delete the line that starts with <!DOCTYPE",
        ) from None
    except (ParseError, ValueError, LookupError):  # the last two: an unusable encoding
        raise PictureError("is not well-formed XML", fix="save it again as plain SVG") from None
    if local_name(root) != "svg":
        raise PictureError("is not an SVG drawing", fix="save it as plain SVG")
    return root


def _parser() -> Any:
    """Reads XML without entities; of document types the usual one of drawing programs is skipped.

    That one names a public list of elements, which is not loaded, and nothing else.
    """
    from defusedxml.common import DTDForbidden
    from defusedxml.ElementTree import DefusedXMLParser

    class Parser(DefusedXMLParser):
        def defused_start_doctype_decl(
            self, name: str, sysid: str | None, pubid: str | None, has_internal_subset: int
        ) -> None:
            if has_internal_subset or not _USUAL_TYPE.fullmatch(pubid or ""):
                raise DTDForbidden(name, sysid, pubid)

    return Parser(forbid_dtd=True)


def local_name(element: Element) -> str:
    """Local name of an SVG element; empty for elements of other vocabularies."""
    space, _, name = element.tag.rpartition("}")
    return name if space in ("", "{" + _SVG) else ""


def refuse_hostile(root: Element) -> None:
    """Look at every element and attribute.

    Raises:
        PictureError: for scripts, foreign content, images, outside references, and for
            too many elements.
    """
    for count, element in enumerate(root.iter(), 1):
        if count > MAX_ELEMENTS:
            raise too_many()
        if max(len(element.attrib), len(element.get("class", "").split())) > MAX_ATTRIBUTES:
            raise PictureError(
                f"has an element with more than {MAX_ATTRIBUTES} attributes or classes",
                fix="save it as plain SVG",
            )
        space, _, name = element.tag.rpartition("}")
        name = name.lower()
        if name in _REFUSED and (name == "script" or space[1:] in ("", _SVG, _XHTML)):
            raise PictureError(
                f"holds {_REFUSED[name]} (<{name}>), which is not read",
                fix="remove it and save it as plain SVG",
            )
        for key, value in element.attrib.items():
            _refuse_attribute(name, key.rpartition("}")[2].lower(), value)
        if name == "style" and element.text:
            if "@import" in element.text.lower():
                raise _outside("@import")
            _refuse_urls(element.text)


def _refuse_attribute(tag: str, key: str, value: str) -> None:
    if key.startswith("on"):
        raise PictureError(
            f"holds a script (attribute {key}), which is not read",
            fix="remove it and save it as plain SVG",
        )
    start = "".join(value.split()).lower()
    if start.startswith(("javascript:", "vbscript:")):
        raise PictureError(
            f"holds a script (in {key}), which is not read",
            fix="remove it and save it as plain SVG",
        )
    # A plain link is never followed; every other address would have to be loaded.
    if key in ("href", "src") and tag != "a" and start and not start.startswith("#"):
        raise _outside(key)
    _refuse_urls(value)


def _refuse_urls(text: str) -> None:
    if "(" in text and any(not target.startswith("#") for target in URL_RE.findall(text)):
        raise _outside("url()")


def _outside(name: str) -> PictureError:
    return PictureError(
        f"refers to something outside the file (in {name}), which is not loaded",
        fix="embed it as shapes, or remove it",
    )


def too_many() -> PictureError:
    """The error for a drawing with more than :data:`MAX_ELEMENTS` elements."""
    return PictureError(f"draws more than {MAX_ELEMENTS} elements", fix="simplify the drawing")
