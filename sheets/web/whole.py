"""The page as a whole: first view, changes outside and in other windows, taking back."""

from __future__ import annotations

from sheets.web import class_part, pages_part, print_part, single, theme_part
from sheets.web.ask import Answer, Ask, Route

EVERYTHING = ("theme-changed", "class-changed")


def first(ask: Ask) -> Answer:
    """The whole page."""
    parts = {
        "theme": theme_part.part(ask),
        "class_": class_part.part(ask),
        "pages": pages_part.part(ask),
        "print_": print_part.part(ask),
        "single": single.part(ask),
        "skills": class_part.skills(),
        "window": ask.session.new_window(),
    }
    return Answer(ask.render("page", **parts))


def now(ask: Ask) -> Answer:
    """What is new since the page was shown: asked every few seconds."""
    outside = ask.session.changed_outside()
    new = ask.session.news_for(ask.text("window"))
    if not new and ",".join(outside) == ask.text("outside"):
        return Answer(status=204)
    return Answer(ask.render("now", outside=outside) + ask.render("after"),
                  events=EVERYTHING if new else ())  # fmt: skip


def undo(ask: Ask) -> Answer:
    """Take the last change back."""
    ask.session.undo()
    return Answer(ask.render("saved", text=ask.words["page"]["undone"]), events=EVERYTHING)


def take(ask: Ask) -> Answer:
    """Take the files as another program has left them."""
    ask.session.take_from_disk()
    return Answer(ask.render("now", outside=[]), events=EVERYTHING)


def keep(ask: Ask) -> Answer:
    """Go on with what is here, in files of other names."""
    made = ask.session.keep_as_copy()
    return Answer(ask.render("now", outside=[], made=made), events=EVERYTHING)


ROUTES = (
    Route("GET", "/", first),
    Route("GET", "/now", now),
    Route("POST", "/undo", undo),
    Route("POST", "/outside/take", take),
    Route("POST", "/outside/keep", keep),
)
