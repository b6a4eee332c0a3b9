"""Joins requests to whoever answers them: the guard first, errors as one line on the page."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapes.errors import TableworkError, worded
from sheets.web import checking, class_part, pages_part, print_part, single, theme_part, whole
from sheets.web.ask import Answer, Ask, Route, Upload
from sheets.web.faults import tell
from sheets.web.folder import ChangedOutsideError
from sheets.web.guard import Guard, harden
from sheets.web.session import Session, problems_of
from sheets.web.work import Work

if TYPE_CHECKING:
    from flask import Flask, Request, Response

HERE = Path(__file__).parent
ROUTES: tuple[Route, ...] = (
    *whole.ROUTES,
    *theme_part.ROUTES,
    *class_part.ROUTES,
    *pages_part.ROUTES,
    *print_part.ROUTES,
    *single.ROUTES,
    *checking.ROUTES,
)
MAX_UPLOAD = 4_000_000
MAX_FIELDS = 1_000_000
MAX_PARTS = 400


def texts(language: str) -> dict[str, Any]:
    """The words of the page in a language; English where there is no file for it."""
    found = HERE / "words" / f"{language}.toml"
    if not (language.isalpha() and found.is_file()):
        found = HERE / "words" / "en.toml"
    return tomllib.loads(found.read_text("utf-8"))


def new_app(session: Session, guard: Guard) -> Flask:
    """The application for one session."""
    from flask import Flask, request

    app = Flask("tablework", template_folder=str(HERE / "templates"),
                static_folder=str(HERE / "static"), static_url_path="/static")  # fmt: skip
    app.config.update(MAX_CONTENT_LENGTH=MAX_UPLOAD, MAX_FORM_MEMORY_SIZE=MAX_FIELDS,
                      MAX_FORM_PARTS=MAX_PARTS, TRAP_HTTP_EXCEPTIONS=False)  # fmt: skip
    app.url_map.merge_slashes = False
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    words, work = texts("en"), Work()
    app.jinja_env.globals.update(t=words, session=session)
    app.jinja_env.filters["plainly"] = lambda text: worded(text, lambda n: _field(words, n))

    @app.before_request
    def refuse() -> Response | None:
        why = guard.refuses(request)
        return app.make_response((why + "\n", 403, {"Content-Type": "text/plain"})) if why else None

    @app.route("/enter/<token>")
    def enter(token: str) -> Response:
        if not guard.enters(token):
            return app.make_response(("this address has been used or is wrong\n", 403))
        # Not a redirect: after one from elsewhere the browser would not send the strict cookie.
        return guard.admit(app.make_response(app.jinja_env.get_template("enter.html").render()))

    app.after_request(harden)
    app.register_error_handler(413, lambda _error: _message(app, words["errors"]["large"], 413))
    app.register_error_handler(500, lambda _error: _message(app, words["errors"]["ours"], 500))
    for route in ROUTES:
        view = _view(app, route, session, work, words)
        app.add_url_rule(route.path, f"{route.method} {route.path}", view, methods=[route.method])
    return app


def _view(
    app: Flask, route: Route, session: Session, work: Work, words: Mapping[str, Any]
) -> Callable[..., Response]:
    from flask import request

    def view(**parts: Any) -> Response:
        ask = _ask(app, request, session, work, words)
        try:
            if route.alone:
                with session.lock:
                    return _finished(app, ask, route, _answered(route, ask, parts))
            return _finished(app, ask, route, route.handler(ask, **parts))
        except TableworkError as error:
            lines = [worded(line, lambda name: _field(words, name)) for line in problems_of(error)]
            if isinstance(error, ChangedOutsideError):
                lines = []  # what to do about it is asked on the page
            return _message(app, lines, 422, *(("outside",) if not lines else ()))
        except Exception as error:
            if type(error).__module__.startswith("werkzeug"):
                raise
            tell(error)
            return _message(app, words["errors"]["ours"], 500)

    return view


def _answered(route: Route, ask: Ask, parts: Mapping[str, Any]) -> Answer:
    """The answer, with a call to all parts if another window has changed something before."""
    if route.method != "POST":
        return route.handler(ask, **parts)
    late = ask.session.news_for(ask.text("window"))
    try:
        answer = route.handler(ask, **parts)
    finally:
        ask.session.news_for(ask.text("window"))
    if late:
        events = dict.fromkeys((*answer.events, "theme-changed", "class-changed"))
        return Answer(answer.body, answer.kind, answer.status, tuple(events))
    return answer


def _field(words: Mapping[str, Any], name: str) -> str:
    return f"“{words['fields'].get(name, name.replace('-', ' '))}”"


def _ask(
    app: Flask, request: Request, session: Session, work: Work, words: Mapping[str, Any]
) -> Ask:
    values = {name: request.args.getlist(name) for name in request.args}
    values |= {name: request.form.getlist(name) for name in request.form}
    uploads = {
        name: Upload(file.filename or "drawing.svg", file.read())
        for name, file in request.files.items()
    }

    def render(template: str, **given: Any) -> str:
        return app.jinja_env.get_template(f"{template}.html").render(**given)

    return Ask(session, work, words, values, uploads, render)


def _finished(app: Flask, ask: Ask, route: Route, answer: Answer) -> Response:
    """The answer; after a change with the button to take it back."""
    body = answer.body
    if isinstance(body, str) and answer.status == 200 and route.method == "POST":
        body = f"{body}\n{ask.render('after')}"
    made = app.make_response((body, answer.status))
    made.mimetype = answer.kind
    if answer.events:
        made.headers["HX-Trigger"] = ",".join(answer.events)
    if answer.download:
        made.headers["Content-Disposition"] = f'attachment; filename="{answer.download}"'
    return made


def _message(app: Flask, lines: str | list[str], status: int, *events: str) -> Response:
    """A message that the page shows in one place, whatever was asked."""
    shown = [lines] if isinstance(lines, str) else lines
    made = app.make_response(
        (app.jinja_env.get_template("message.html").render(lines=shown), status)
    )
    made.headers["HX-Retarget"], made.headers["HX-Reswap"] = "#message", "innerHTML"
    made.headers["HX-Trigger"] = json.dumps(dict.fromkeys(("refused", *events)))
    return made
