"""Measuring a drawing that was made elsewhere; it is read in a process of its own."""

from __future__ import annotations

from sheets import desk_page
from sheets.web.ask import HTML, SVG, Answer, Ask, Route


def check(ask: Ask) -> Answer:
    """Measure an uploaded drawing and tell what was found."""
    upload = ask.upload("file")
    found = desk_page.check_apart(
        upload.content, "drawing.svg", ask.text("skill"), ask.number("stage")
    )
    number = ask.work.next_number()
    ask.work.checks.put(number, found)
    outside = [sentence for is_outside, sentence in found.findings if is_outside]
    within = [sentence for is_outside, sentence in found.findings if not is_outside]
    return Answer(ask.render("checked", found=found, number=number, outside=outside, within=within,
                             name=upload.name[:60]))  # fmt: skip


def picture(ask: Ask, number: int, page: int) -> Answer:
    """The drawing as it was read."""
    found = ask.work.checks.get(number)
    if found is None or page >= len(found.pages):
        return Answer("", HTML, 404)
    return Answer(found.pages[page], SVG)


ROUTES = (
    Route("POST", "/check", check, alone=False),
    Route("GET", "/check/<int:number>/<int:page>", picture, alone=False),
)
