"""What a request asks and what it is answered, without the server's own types."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from shapes.errors import InputError

if TYPE_CHECKING:
    from sheets.web.session import Session
    from sheets.web.work import Work

HTML, SVG, PDF = "text/html", "image/svg+xml", "application/pdf"


@dataclass(frozen=True)
class Upload:
    """A file that was sent: its name is for messages only, never for a path."""

    name: str
    content: bytes


@dataclass(frozen=True)
class Ask:
    """One request.

    Args:
        values: field of the form or of the address -> everything given for it.
        uploads: field -> file.
        render: writes a template with values.
    """

    session: Session
    work: Work
    words: Mapping[str, Any]
    values: Mapping[str, Sequence[str]]
    uploads: Mapping[str, Upload]
    render: Callable[..., str]

    def text(self, name: str) -> str:
        """A field's text; empty if it was not given."""
        found = self.values.get(name)
        return found[0].strip() if found else ""

    def several(self, name: str) -> tuple[str, ...]:
        return tuple(self.values.get(name, ()))

    def given(self, name: str) -> bool:
        """Whether a box is ticked."""
        return bool(self.text(name))

    def number(self, name: str) -> int:
        """A whole number.

        Raises:
            InputError: it is none.
        """
        text = self.text(name)
        if not text.isascii() or not text.isdigit() or len(text) > 9:
            raise InputError("a whole number is missing", where=f"`{name}`", fix="give one")
        return int(text)

    def upload(self, name: str) -> Upload:
        """A file.

        Raises:
            InputError: none was chosen.
        """
        found = self.uploads.get(name)
        if found is None or not found.content:
            raise InputError("no file was chosen, or it is empty", fix="choose one first")
        return found


@dataclass(frozen=True)
class Answer:
    """One answer.

    Args:
        body: text is HTML unless ``kind`` says otherwise.
        events: told to the page, whose parts then ask again.
        download: name that the browser gives the file.
    """

    body: str | bytes = ""
    kind: str = HTML
    status: int = 200
    events: tuple[str, ...] = ()
    download: str = ""


Handler = Callable[..., Answer]


@dataclass(frozen=True)
class Route:
    """An address and who answers it.

    Args:
        alone: whether nothing else may look at the session meanwhile; not for what takes long.
    """

    method: str
    path: str
    handler: Handler
    alone: bool = True
