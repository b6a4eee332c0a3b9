"""The theme on the page: its words with pictures, and what the kinds of sheet read from it."""

from __future__ import annotations

from typing import Any

from shapes.errors import InputError
from sheets import desk, desk_facts, desk_page
from sheets.web import theme_change as change
from sheets.web import toml_text
from sheets.web.ask import SVG, Answer, Ask, Route
from sheets.web.folder import DRAWINGS, THEMES

MOST_FOUND = 60
EVENTS = ("plan-changed",)


def part(ask: Ask) -> str:
    """The whole section."""
    session = ask.session
    try:
        data = session.theme_data()
    except InputError:
        data = {}
    return ask.render(
        "theme", data=data, own=session.theme_is_own, builtin=desk.theme_titles(),
        files=session.folder.names(THEMES), theme=session.theme,
        days=desk_facts.days(), kinds=desk_facts.kind_names(), things=desk.things(),
        chosen=[item for item in data.get("objects", {}).get("trace", []) if isinstance(item, str)],
        colours=[colour.key for colour in desk.colours()], shapes=desk_facts.pattern_shapes(),
        categories=desk_facts.picture_categories(), word_of=change.word_of,
        spec_of=lambda text: change.spec_of(data, text), kinds_of=change.kinds_of,
        note_of=change.note_of, drawings=_drawings(ask),
    )  # fmt: skip


def _drawings(ask: Ask) -> list[str]:
    folder = ask.session.folder.path / DRAWINGS
    if not folder.is_dir():
        return []
    endings = desk_facts.drawing_endings()
    found = sorted(file.name for file in folder.iterdir() if file.suffix.lower() in endings)
    return [f"{DRAWINGS}/{name}" for name in found]


def show(ask: Ask) -> Answer:
    return Answer(part(ask))


def open_theme(ask: Ask) -> Answer:
    """Another theme."""
    ask.session.open_theme(ask.text("name"))
    return Answer(part(ask), events=EVENTS)


def new(ask: Ask) -> Answer:
    """A theme of one's own: a few words under a title, or a copy of a built-in one."""
    title = ask.text("title")
    if not title:
        raise InputError("a new theme needs a title", fix="write one")
    path = ask.session.folder.new(title, ".toml")
    if ask.given("copy"):
        text = desk_page.builtin_text(ask.session.theme.slug)
    else:
        text = toml_text.text_with("", change.new_theme(title, ask.text("words")))
    desk_page.write_bytes(text.encode(), path)
    ask.session.open_theme(path.name)
    if ask.given("copy"):
        ask.session.change_theme(title, lambda data: data.update(title=title))
    return Answer(part(ask), events=EVENTS)


def set_value(ask: Ask) -> Answer:
    """One text: a title, a word, a letter, a note."""
    path, text = ask.text("path"), ask.text("value")
    ask.session.change_theme(_label(ask, path), lambda data: change.set_text(data, path, text))
    return Answer(part(ask), events=EVENTS)


def add(ask: Ask) -> Answer:
    """A word, a step, or a new sequence, pattern or sort."""
    path = ask.text("path")
    given = {name: ask.text(name) for name in ("title", "one", "two", "one_name", "two_name")}
    texts = [text for text in (ask.text("value"), ask.text("picture")) if text]
    drawings = _drawings(ask)

    def apply(data: Any) -> None:
        change.add(data, path, texts, given, drawings)

    ask.session.change_theme(_label(ask, path), apply)
    return Answer(part(ask), events=EVENTS)


def remove(ask: Ask) -> Answer:
    """An item less; what would be empty goes too."""
    path = ask.text("path")
    ask.session.change_theme(_label(ask, path), lambda data: change.remove(data, path))
    return Answer(part(ask), events=EVENTS)


def move(ask: Ask) -> Answer:
    """An item to another place of its list."""
    path, to = ask.text("path"), ask.number("to")
    ask.session.change_theme(_label(ask, path), lambda data: change.move(data, path, to))
    return Answer(part(ask), events=EVENTS)


def plan(ask: Ask) -> Answer:
    """The kinds of one day."""
    day, kinds = ask.text("day"), ask.several("kinds")
    if day not in desk_facts.days() or not set(kinds) <= set(desk_facts.kind_names()):
        raise InputError("there is no such day or kind", fix="load the page again")
    label = ask.words["theme"]["plan"]
    ask.session.change_theme(label, lambda data: change.set_day(data, day, kinds))
    return Answer(part(ask), events=EVENTS)


def thing(ask: Ask) -> Answer:
    """A thing of the library that is taken or left, or one of one's own with its measures."""
    label = ask.words["theme"]["things"]
    names = {found.id for found in desk.things()}
    if ask.text("id"):
        if ask.text("id") not in names:
            raise InputError("there is no such thing", fix="choose one of the list")
        taken = ask.given("taken")
        ask.session.change_theme(
            label, lambda data: change.set_thing(data, ask.text("id"), taken=taken)
        )
    else:
        measures = [ask.text(name) for name in ("width", "depth")]
        ask.session.change_theme(
            label, lambda data: change.add_thing(data, ask.text("name"), measures)
        )
    return Answer(part(ask), events=EVENTS)


def drawing(ask: Ask) -> Answer:
    """A drawing of the teacher's own as a word of the theme."""
    upload, word = ask.upload("file"), ask.text("value")
    if not word:
        raise InputError("the drawing needs its word", fix="write what it shows")
    if not ask.session.theme_is_own:
        raise InputError("this theme comes with the tool", fix="make a copy of it to change")
    named = f".{upload.name.lower().rpartition('.')[2]}"
    ending = named if named in desk_facts.drawing_endings() else ".svg"
    left_out = desk_page.try_drawing(upload.content, f"drawing{ending}")
    path = ask.session.folder.new_drawing(word, ending)
    desk_page.write_bytes(upload.content, path)
    row = {"text": word, "picture": f"{DRAWINGS}/{path.name}"}
    with ask.session.lock:
        ask.session.change_theme(
            ask.words["theme"]["drawing"], lambda data: data.setdefault("words", []).append(row)
        )
        note = ask.words["theme"]["left_out"].format(what=", ".join(left_out)) if left_out else ""
        return Answer(part(ask) + (ask.render("saved", text=note) if note else ""), events=EVENTS)


def find(ask: Ask) -> Answer:
    """Pictures for a word or a category."""
    word, category = ask.text("find"), ask.text("category")
    found = desk.pictures(word or category) if word or category else []
    if word and category:
        found = [row for row in found if row.category in ("", category)]
    return Answer(ask.render("found", found=found[:MOST_FOUND], more=len(found) - MOST_FOUND,
                             asked=bool(word or category)))  # fmt: skip


def picture(ask: Ask, code: str) -> Answer:
    """A picture by its code."""
    return Answer(desk_page.picture_svg(change.checked_code(code), ask.session.folder.path), SVG)


def own_picture(ask: Ask, number: int) -> Answer:
    """A drawing of the folder, by its place in the list of them."""
    drawings = _drawings(ask)
    if number >= len(drawings):
        raise InputError("there is no such drawing", fix="load the page again")
    return Answer(desk_page.picture_svg(drawings[number], ask.session.folder.path), SVG)


def _label(ask: Ask, path: str) -> str:
    table = path.partition(".")[0]
    return str(ask.words["theme"].get(table, ask.words["theme"]["words"]))


ROUTES = (
    Route("GET", "/theme", show),
    Route("POST", "/theme/open", open_theme),
    Route("POST", "/theme/new", new),
    Route("POST", "/theme/set", set_value),
    Route("POST", "/theme/add", add),
    Route("POST", "/theme/remove", remove),
    Route("POST", "/theme/move", move),
    Route("POST", "/theme/plan", plan),
    Route("POST", "/theme/thing", thing),
    Route("POST", "/theme/drawing", drawing, alone=False),
    Route("GET", "/theme/find", find),
    Route("GET", "/picture/<code>", picture),
    Route("GET", "/drawing/<int:number>", own_picture),
)
