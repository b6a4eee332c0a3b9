"""Lines that the page font alone cannot set: their fonts, the order of their letters, their glyphs.

The one place where that is found out, for measuring, for PDF and for SVG. Order: the Unicode
bidirectional algorithm (Unicode Standard Annex 9), by ``python-bidi``; a line with any letter that
runs to the right runs to the right, so that a sentence with names in it stays one. Forms, marks and
conjuncts: HarfBuzz, by ``uharfbuzz``. All numbers are units of the page font
(:func:`shapes.letters.page_font.units_per_em`).
"""

from __future__ import annotations

import itertools
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from shapes.letters.more_fonts import Face, face_for
from shapes.letters.page_font import (
    FONT_NAME,
    JOINERS,
    TURNS,
    Outline,
    advance,
    clings,
    in_page_font,
    plain_outlines,
)


@dataclass(frozen=True, slots=True)
class Cluster:
    """Glyphs that stand for characters together: a letter with its marks, a conjunct, a ligature.

    Args:
        glyphs: number of each in the font, and x and y of its origin from the cluster's, in the
            font's own units.
        advance: how far the next cluster is, in those units.
        x: where it starts, from the start of the line.
        text: the characters.
    """

    glyphs: tuple[tuple[int, int, int], ...]
    advance: int
    x: float
    text: str


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbours of one font and direction.

    Args:
        face: None for plain letters of the page font, which are set one by one as everywhere.
        text: its characters in the order of reading.
        x: where it starts.
        clusters: from left to right; none for plain letters.
    """

    face: Face | None
    text: str
    x: float
    rightwards: bool
    clusters: tuple[Cluster, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """A line of text, ready to be drawn: its runs from left to right, and how wide they are."""

    runs: tuple[Run, ...]
    width: float


def lacking(text: str) -> int | None:
    """Where the first character stands that no font has or that has no letter to stand on."""
    if all(in_page_font(char) or char in JOINERS | TURNS for char in text):
        # Among plain letters a joiner joins nothing: it is a leftover that nobody sees.
        invisible = (i for i, char in enumerate(text) if not in_page_font(char))
        return next(invisible, None)
    at = 0
    for cluster in _clusters(text):
        wanted = _wanted(cluster)
        alone = clings(cluster[0])
        if alone or not all(map(_visible, wanted)):
            return at + next((i for i, c in enumerate(cluster) if alone or not _visible(c)), 0)
        if wanted and _face(wanted) == _NO_FACE:
            # Tell the character that is not there at all; else the mark that does not fit.
            missing = (i for i, char in enumerate(cluster) if char in wanted and not face_for(char))
            return at + next(missing, len(cluster) - 1)
        at += len(cluster)
    return None


def _visible(char: str) -> bool:
    return unicodedata.category(char) not in ("Cc", "Cf", "Cs", "Cn", "Co", "Zl", "Zp")


@lru_cache(maxsize=512)
def shaped(text: str) -> Line:
    """The glyphs of a line.

    Args:
        text: as :func:`shapes.letters.font.check_text` returns it.
    """
    runs: list[Run] = []
    x = 0.0
    for face, part, rightwards in _parts(text):
        if face is None:
            runs.append(Run(None, part, x, True))
            x += sum(map(advance, part))
        else:
            clusters = tuple(_shape(face, part, rightwards, x, _language(text)))
            runs.append(Run(face, part, x, rightwards, clusters))
            x += sum(cluster.advance for cluster in clusters) * face.scale
    return Line(tuple(runs), x)


def shaped_outlines(text: str) -> Iterator[Outline]:
    """See :func:`shapes.letters.font.outlines`."""
    for run in shaped(text).runs:
        if run.face is None:
            yield from plain_outlines(run.text, run.x)
            continue
        scale = run.face.scale
        for cluster in run.clusters:
            for number, dx, dy in cluster.glyphs:
                if paths := run.face.outline(number):
                    name = f"{run.face.name}-{number}"
                    yield Outline(name, paths, cluster.x + dx * scale, dy * scale)


# --- which font -----------------------------------------------------------------------------------

_NO_FACE = "no font"
_BETWEEN_BLANKS = re.compile(r"(\s+)")


def _face(chars: str) -> Face | str | None:
    """None for plain letters of the page font."""
    if all(map(in_page_font, chars)):
        return None
    return face_for(chars) or _NO_FACE


def _clusters(text: str) -> Iterator[str]:
    """What must be of one font: a letter with its marks and joiners."""
    cluster = ""
    for char in text:
        if cluster and clings(char):
            cluster += char
            continue
        if cluster:
            yield cluster
        cluster = char
    if cluster:
        yield cluster


def _faces(text: str) -> list[Face | None]:
    """The font of every character: one for a whole word if it has all of it.

    Blanks are those of the page font, so that a line is as wide as its words and blanks.
    """
    found: list[Face | None] = []
    for word in _BETWEEN_BLANKS.split(text):
        choice = _face(_wanted(word))
        whole = choice if isinstance(choice, Face) else None
        for cluster in _clusters(word):
            face = whole or _face(_wanted(cluster))
            assert not isinstance(face, str), "a text that was not checked"
            found += [face] * len(cluster)
    return found


def _wanted(chars: str) -> str:
    """What a font must have of them."""
    return "".join(char for char in chars if char not in JOINERS | TURNS)


# --- which order ----------------------------------------------------------------------------------


def _parts(text: str) -> Iterator[tuple[Face | None, str, bool]]:
    """Font, characters and direction of each run, from left to right."""
    faces = _faces(text)
    turned = _levels(text)
    page = face_for("A")
    assert page is not None
    assert page.name == FONT_NAME

    def kind(place: tuple[int, int]) -> tuple[Face | None, int]:
        at, level = place
        # A bracket in a line to the left is turned over, and so not set as a plain letter.
        plain = level % 2 == 0 or text[at].isspace()
        return (faces[at] if faces[at] is not None or plain else page), level

    for (face, level), places in itertools.groupby(turned, key=kind):
        part = "".join(text[at] for at in sorted(at for at, _ in places) if text[at] not in TURNS)
        if part:
            yield face, part, level % 2 == 0


def _levels(text: str) -> list[tuple[int, int]]:
    """Place in the text and level of every character, in the order from left to right."""
    from bidi import algorithm

    # The algorithm drops joiners (rule X9); each goes with the character before it.
    owners = [i for i, char in enumerate(text) if char not in JOINERS]
    storage = algorithm.get_empty_storage()
    storage["base_level"] = _base_level(text)
    storage["base_dir"] = "LR"[storage["base_level"]]
    algorithm.get_embedding_levels("".join(text[i] for i in owners), storage)
    for at, char in zip(owners, storage["chars"], strict=True):
        char["at"] = at
    algorithm.explicit_embed_and_overrides(storage)
    algorithm.resolve_weak_types(storage, False)
    algorithm.resolve_neutral_types(storage, False)
    algorithm.resolve_implicit_levels(storage, False)
    algorithm.reorder_resolved_levels(storage, False)
    ordered: list[tuple[int, int]] = []
    for char in storage["chars"]:
        ordered.append((char["at"], char["level"]))
        after = char["at"] + 1
        while after < len(text) and text[after] in JOINERS:
            ordered.append((after, char["level"]))
            after += 1
    return ordered


def _base_level(text: str) -> int:
    """1 for a line that runs to the left: without a letter to the right, or marked so."""
    kinds = [unicodedata.bidirectional(char) for char in text]
    marked = text[:1] in TURNS and kinds[0] == "R"
    return int(marked or ("L" not in kinds and not {"R", "AL"}.isdisjoint(kinds)))


# --- which glyphs ---------------------------------------------------------------------------------


def _language(text: str) -> str:
    """Whose forms of Chinese characters: Japanese beside kana, Korean beside Hangul."""
    names = [unicodedata.name(char, "") for char in text]
    if any(name.startswith(("HIRAGANA", "KATAKANA")) for name in names):
        return "ja"
    return "ko" if any(name.startswith("HANGUL") for name in names) else "zh-hans"


def _shape(face: Face, text: str, rightwards: bool, x: float, language: str) -> Iterator[Cluster]:
    """The clusters of a run that starts at ``x``."""
    import uharfbuzz

    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.direction = "ltr" if rightwards else "rtl"
    if any(unicodedata.name(char, "").startswith("CJK") for char in text):
        buffer.language = language
    buffer.guess_segment_properties()
    uharfbuzz.shape(face.hb, buffer)
    placed = list(zip(buffer.glyph_infos, buffer.glyph_positions, strict=True))
    starts = sorted({info.cluster for info, _ in placed})
    ends = dict(zip(starts, [*starts[1:], len(text)], strict=True))
    for start, group in itertools.groupby(placed, key=lambda pair: pair[0].cluster):
        glyphs, advanced = [], 0
        for info, at in group:
            glyphs.append((info.codepoint, advanced + at.x_offset, at.y_offset))
            advanced += at.x_advance
        yield Cluster(tuple(glyphs), advanced, x, text[start : ends[start]])
        x += advanced * face.scale
