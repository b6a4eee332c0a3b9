"""The PDF as a document: properties, fonts, bookmarks, what is stored once, same bytes."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator

import pikepdf
import pytest

from shapes.affine import Affine
from shapes.path import BBox, Path
from sheets.page.model import Artwork, Fill, Mark, Page, Place, Role, Stroke, Text
from sheets.write.compact import pack_objects
from sheets.write.pdf import write_pdf
from tests.readers import content, drawn, opened, strokes, texts
from tests.rendered_pages import (
    ACCENTED,
    LETTER,
    everything,
    frog,
    measure_bar,
    page_of,
    pdf_of,
)

# --- the document ---------------------------------------------------------------------------


@pytest.fixture(scope="module", params=[False, True], ids=["plain", "compact"])
def document(request: pytest.FixtureRequest) -> bytes:
    return pdf_of(everything(), everything(), compact=request.param)


def test_the_file_is_pdf_1_7_and_well_formed(document: bytes) -> None:
    assert document.startswith(b"%PDF-1.7\n")
    with opened(document) as pdf:
        assert pdf.pdf_version == "1.7"
        assert pdf.check_pdf_syntax() == []
        assert pdf.get_warnings() == []
        assert len(pdf.pages) == 2


def test_viewers_are_asked_for_actual_size_and_the_title(document: bytes) -> None:
    with opened(document) as pdf:
        wishes = pdf.Root.ViewerPreferences
        assert str(wishes.PrintScaling) == "/None"
        assert bool(wishes.DisplayDocTitle) is True
        assert str(pdf.Root.Lang) == "en-US"


def test_properties_name_no_person_and_no_date(document: bytes) -> None:
    with opened(document) as pdf:
        properties = {key: str(value) for key, value in pdf.docinfo.items()}

    assert properties["/Title"] == "Reedy Pond"
    assert properties["/Creator"] == "tablework"
    assert properties["/Author"] == properties["/Subject"] == properties["/Keywords"] == ""
    assert properties["/CreationDate"] == properties["/ModDate"] == "D:20000101000000+00'00'"
    assert ACCENTED not in " ".join(properties.values())


def fonts_of(pdf: pikepdf.Pdf) -> Iterator[pikepdf.Object]:
    for item in pdf.objects:
        if isinstance(item, pikepdf.Dictionary) and item.get("/Type") == "/Font":
            yield item


def test_only_the_page_font_is_used_embedded_and_cut_down(document: bytes) -> None:
    with opened(document) as pdf:
        fonts = list(fonts_of(pdf))
        names = {str(found.BaseFont) for found in fonts}
        sizes = [len(found.FontDescriptor.FontFile2.read_bytes()) for found in fonts]
        texts_known = ["/ToUnicode" in found for found in fonts]

    assert names
    assert all(name[7:8] == "+" and name.endswith("+Andika") for name in names)
    assert max(sizes) < 40_000  # the whole font is 670 000 bytes
    assert all(texts_known)


def test_no_font_is_named_that_is_not_embedded() -> None:
    for page in (page_of(measure_bar()), everything()):
        with opened(pdf_of(page)) as pdf:
            written = b" ".join(item.unparse() for item in pdf.objects)
        assert b"Helvetica" not in written


def test_nothing_is_wrapped_in_ascii85(document: bytes) -> None:
    assert b"ASCII85" not in document


def test_bookmarks_lead_to_their_pages() -> None:
    data = write_pdf(
        [everything(), page_of(), page_of(measure_bar())],
        title="t",
        language="en",
        outline=[(0, "Ducks", 0), (1, "Frögs", 1), (0, "Key", 2)],
    )

    with opened(data) as pdf, pdf.open_outline() as outline:
        tops = [entry.title for entry in outline.root]
        inner = [entry.title for entry in outline.root[0].children]
        target = outline.root[1].destination
        assert isinstance(target, pikepdf.Array)
        assert target[0].objgen == pdf.pages[2].obj.objgen
    assert (tops, inner) == (["Ducks", "Key"], ["Frögs"])


def test_page_labels_come_from_the_pages_or_the_caller() -> None:
    pages = [page_of(label="D1"), page_of(), page_of(label="key")]
    given_labels = write_pdf(pages, title="t", language="en", page_labels=["a", "b", "c"])

    with opened(pdf_of(*pages)) as pdf:
        assert [page.label for page in pdf.pages] == ["D1", "2", "key"]
    with opened(given_labels) as pdf:
        assert [page.label for page in pdf.pages] == ["a", "b", "c"]
    with opened(pdf_of(page_of())) as pdf:
        assert "/PageLabels" not in pdf.Root


def test_a_document_without_pages_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one page"):
        pdf_of()


def test_an_outline_beyond_the_last_page_is_refused() -> None:
    with pytest.raises(ValueError, match="outline names page 3 of 1"):
        write_pdf([page_of()], title="t", language="en", outline=[(0, "x", 3)])


def test_labels_for_another_number_of_pages_are_refused() -> None:
    with pytest.raises(ValueError, match="2 page labels for 1 pages"):
        write_pdf([page_of()], title="t", language="en", page_labels=["a", "b"])


def test_two_artworks_of_one_id_are_refused() -> None:
    other = Artwork("frog", (Fill((Path.circle((5, 5), 3),), Role.ART),), BBox(2, 2, 8, 8))
    page = page_of(Place(frog(), Affine()), Place(other, Affine()))

    with pytest.raises(ValueError, match="two different artworks have the id 'frog'"):
        pdf_of(page)


# --- sharing --------------------------------------------------------------------------------


def forms_of(data: bytes) -> int:
    with opened(data) as pdf:
        return sum(
            isinstance(item, pikepdf.Stream) and item.get("/Subtype") == "/Form"
            for item in pdf.objects
        )


def test_artwork_is_stored_once_however_often_it_is_placed() -> None:
    # Equal artworks made twice are one, too.
    pages = [
        page_of(*(Place(frog(), Affine.translation(40 * i, 0)) for i in range(4))) for _ in range(3)
    ]

    data = pdf_of(*pages)

    assert forms_of(data) == 1
    assert [len(drawn(data, i)) for i in range(3)] == [12, 12, 12]


def furniture() -> tuple[Mark, ...]:
    return (
        measure_bar(),
        Text(70, 22, "100 mm", 8, Role.FURNITURE, anchor="middle"),
        Stroke((Path.from_points([(15, 15), (200, 15), (200, 260)]),), 0.2, Role.FURNITURE),
        Text(20, 262, "print at actual size, 100 %", 8, Role.FURNITURE),
    )


def test_furniture_is_stored_once_for_all_pages() -> None:
    names = ["Ana", "Bo", "Cleo", "Dora", "Eli"]
    pages = [page_of(*furniture(), Text(20, 250, name, 16, Role.FURNITURE)) for name in names]

    data = pdf_of(*pages)

    assert forms_of(data) == 1
    assert len(content(data, 4)) < 10
    assert [texts(data, i)[-1] for i in range(5)] == names


def test_a_long_outline_is_stored_once_even_pages_apart() -> None:
    wave = Path.from_points([(20 + i, 100 + 5 * (i % 2)) for i in range(100)])
    outline = page_of(Stroke((wave,), 3, Role.CUT))
    other = page_of(measure_bar())

    data = pdf_of(outline, other, outline, other, outline)

    assert forms_of(data) == 1
    assert [len(strokes(data, i)[0].operators) for i in (0, 2, 4)] == [100, 100, 100]


def test_shared_or_not_a_page_shows_the_same() -> None:
    alone = pdf_of(everything())
    among = pdf_of(everything(), everything(), everything())

    def seen(data: bytes, page: int) -> list[tuple[object, ...]]:
        return [
            (
                m.painted,
                m.dash,
                m.cap,
                m.join,
                m.colour,
                m.operators,
                m.width if m.painted == "stroke" else 0,
            )
            for m in drawn(data, page)
        ]

    assert seen(among, 0) == seen(alone, 0)
    assert seen(among, 2) == seen(alone, 0)
    assert texts(among, 2) == texts(alone, 0)
    assert any(mark.form for mark in strokes(among, 2)[:1])


def test_a_generator_of_pages_is_drawn_as_it_comes() -> None:
    made = []

    def pages() -> Iterator[Page]:
        for i in range(3):
            made.append(i)
            yield page_of(Text(20, 20, f"page {i}", 10, Role.ADULT))

    data = write_pdf(pages(), title="t", language="en")

    assert made == [0, 1, 2]
    assert texts(data, 2) == ["page 2"]


# --- bytes ----------------------------------------------------------------------------------


def test_the_same_pages_give_the_same_bytes() -> None:
    assert pdf_of(everything()) == pdf_of(everything())
    assert pdf_of(everything(), compact=True) == pdf_of(everything(), compact=True)


def test_other_pages_give_another_identifier() -> None:
    def identifier(data: bytes) -> list[bytes]:
        with opened(data) as pdf:
            return [bytes(part) for part in pdf.trailer.ID]

    for compact in (False, True):
        one = identifier(pdf_of(page_of(measure_bar()), compact=compact))
        two = identifier(pdf_of(page_of(*furniture()), compact=compact))
        assert one != two


def test_bytes_do_not_depend_on_the_hash_seed() -> None:
    code = (
        "import hashlib; from tests.rendered_pages import everything;"
        "from sheets.write.pdf import write_pdf;"
        "data = write_pdf([everything()] * 3, title='Reedy Pond', language='en-US');"
        "print(hashlib.sha256(data).hexdigest())"
    )
    expected = hashlib.sha256(pdf_of(*[everything()] * 3)).hexdigest()

    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        assert done.stdout.strip() == expected


def test_a_pdf_needs_no_other_drawing_library() -> None:
    code = (
        "import sys; from tests.rendered_pages import everything;"
        "from sheets.write.pdf import write_pdf;"
        "write_pdf([everything()], title='t', language='en');"
        "print(sorted({'fontTools', 'svgwrite', 'cairosvg', 'numpy', 'shapely'}"
        " & set(sys.modules)))"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout == "[]\n"


# --- compact --------------------------------------------------------------------------------


def test_a_compact_file_is_smaller_and_holds_the_same() -> None:
    pages = [page_of(*furniture(), Text(20, 250, f"page {i}", 16, Role.ADULT)) for i in range(60)]
    plain = write_pdf(pages, title="Pond (endobj", language="en", outline=[(0, "a ) b", 2)])
    compact = write_pdf(
        pages, title="Pond (endobj", language="en", outline=[(0, "a ) b", 2)], compact=True
    )

    assert len(compact) < 0.7 * len(plain)
    for i in (0, 1, 59):
        assert content(compact, i) == content(plain, i)
        assert texts(compact, i) == texts(plain, i)
    with opened(compact) as pdf, pdf.open_outline() as outline:
        assert pdf.check_pdf_syntax() == []
        assert str(pdf.docinfo["/Title"]) == "Pond (endobj"
        assert [entry.title for entry in outline.root] == ["a ) b"]


@pytest.mark.parametrize("cut", [0, 100, -30])
def test_only_files_of_the_simple_form_are_packed(cut: int) -> None:
    data = pdf_of(page_of(measure_bar()))

    with pytest.raises(ValueError, match=r"no cross-reference table|no object at byte"):
        pack_objects(data[:cut] if cut <= 0 else data[:50] + data[50 + cut :])


def test_two_bookmarks_of_one_page_both_stay() -> None:
    page = Page(LETTER, (Text(50.0, 50.0, "frog", 20.0, Role.FURNITURE),))
    data = write_pdf([page], title="t", language="en", outline=[(0, "first", 0), (1, "second", 0)])
    with opened(data) as pdf, pdf.open_outline() as outline:
        (first,) = outline.root
        assert first.title == "first"
        assert [child.title for child in first.children] == ["second"]
