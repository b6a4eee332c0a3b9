"""One sheet of any kind with all that it can be told: the form comes from its declaration."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from shapes.errors import InputError
from sheets import desk, desk_facts, desk_page
from sheets.web.ask import HTML, PDF, SVG, Answer, Ask, Route
from sheets.web.folder import DRAWINGS
from sheets.web.print_part import bar_of
from sheets.web.work import Single

MOST_WORDS = 40


@dataclass(frozen=True)
class Control:
    """One field of the form.

    Args:
        form: ``box``, ``choice``, ``number`` or ``text``.
    """

    name: str
    about: str
    form: str
    default: Any
    offered: Sequence[str] = ()
    least: int | None = None
    most: int | None = None


def part(ask: Ask) -> str:
    """The whole section."""
    return ask.render("single", kinds=desk_facts.kind_names(), form=_form(ask, "cutting"))


def form(ask: Ask) -> Answer:
    """The fields of a kind."""
    return Answer(_form(ask, ask.text("kind")))


def _form(ask: Ask, kind: str) -> str:
    about = desk_facts.kind_about(kind)
    return ask.render("single_form", kind=kind, about=about, controls=controls(kind),
                      meanings=desk_facts.stage_meanings(about.skill), needs=desk_facts.needs(),
                      usual=desk_facts.usual_paper())  # fmt: skip


def controls(kind: str) -> list[Control]:
    """What a kind's declaration asks for."""
    return [_control(field) for field in desk.fields(kind)]


def _control(field: Any) -> Control:
    offered = tuple(
        str(value) for part in (field.type, *get_args(field.type))
        if get_origin(part) is Literal for value in get_args(part)
    )  # fmt: skip
    kinds = get_args(field.type) or (field.type,)
    if field.type is bool:
        shape = "box"
    elif offered:
        shape = "choice"
    elif int in kinds and str not in kinds:
        shape = "number"
    else:
        shape = "text"
    default = "" if field.default is None or field.default == () else field.default
    return Control(field.name, field.about, shape, default, offered, field.least, field.most)


def make(ask: Ask) -> Answer:
    """Make the sheet and show it."""
    kind = ask.text("kind")
    about = desk_facts.kind_about(kind)
    words = _words(ask)
    theme: str | None = None
    if not words and ask.given("with_theme"):
        theme = _theme(ask)
    asked = desk_page.SingleAsked(
        kind, ask.number("stage"), theme, words, {c.name: _given(ask, c) for c in controls(kind)}
    )
    shared = {
        "paper": ask.text("paper"), "name": ask.text("name"), "title": ask.text("title") or None,
        "hand": ask.text("hand"), "language": ask.text("language") or "en",
        "ink": "saver" if ask.given("saver") else "normal", "colour": ask.given("colour"),
        "seed": ask.number("seed") if ask.text("seed") else 0, "needs": ask.several("needs"),
    }  # fmt: skip
    sheet = desk_page.make_single(asked, shared)
    number = ask.work.next_number()
    bar = bar_of(ask.text("bar_measures"))
    ask.work.singles.put(number, Single(sheet, f"{kind}-{desk.slug(sheet.title)}", bar))
    outside = list(dict.fromkeys(f.sentence() for f in sheet.findings if f.outside))
    return Answer(ask.render("single_made", sheet=sheet, number=number, outside=outside,
                             about=about))  # fmt: skip


def _theme(ask: Ask) -> str:
    with ask.session.lock:
        if ask.session.theme_is_own:
            return str(ask.session.folder.path / ask.session.settings.theme)
        return ask.session.theme.slug


def _given(ask: Ask, control: Control) -> Any:
    """What was given for a field, of the field's type."""
    text = ask.text(f"own_{control.name}")
    if control.form == "box":
        return bool(text)
    if control.form == "number":
        if not text:
            return control.default if control.default != "" else None
        return ask.number(f"own_{control.name}")
    if control.form == "choice" and text not in control.offered:
        return None
    return text or None


def _words(ask: Ask) -> tuple[str, ...]:
    """Words with commas between them; a drawing only by its name in the folder."""
    found = [word.strip() for word in ask.text("words").split(",") if word.strip()]
    if len(found) > MOST_WORDS:
        raise InputError(f"{len(found)} words", fix=f"give {MOST_WORDS} at most")
    folder = ask.session.folder.path / DRAWINGS
    known = {file.name for file in folder.iterdir()} if folder.is_dir() else set()
    words = []
    for word in found:
        label, colon, spec = word.rpartition(":")
        if not spec.lower().endswith(desk_facts.drawing_endings()):
            words.append(word)
            continue
        name = spec.strip().removeprefix(f"{DRAWINGS}/")
        if name not in known:
            raise InputError(f"there is no drawing “{name}” in your folder",
                             fix="add it under Theme first")  # fmt: skip
        words.append(f"{label}{colon}{folder / name}")
    return tuple(words)


def picture(ask: Ask, number: int, what: str, page: int) -> Answer:
    """A page of a sheet that was made, or of its key."""
    found = ask.work.singles.get(number)
    if found is None:
        return Answer("", HTML, 404)
    return Answer(desk.preview(found.sheet, page, key=what == "key"), SVG)


def file(ask: Ask, number: int, what: str) -> Answer:
    """The PDF file of a sheet that was made, or of its key."""
    found = ask.work.singles.get(number)
    if found is None:
        return Answer("", HTML, 404)
    key = what == "key"
    content = desk_page.sheet_pdf(found.sheet, key=key, bar_measures=found.bar_measures)
    name = f"{found.file}-key.pdf" if key else f"{found.file}.pdf"
    return Answer(content, PDF, download=name if ask.given("download") else "")


ROUTES = (
    Route("GET", "/single/form", form),
    Route("POST", "/single", make, alone=False),
    Route("GET", "/single/<int:number>/<any(page, key):what>/<int:page>", picture, alone=False),
    Route("GET", "/single/<int:number>/<any(page, key):what>.pdf", file, alone=False),
)
