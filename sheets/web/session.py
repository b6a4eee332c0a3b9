"""What the page works on: an open theme, an open class list, choices, and the changes made.

All of it is in files of the teacher's folder; what is here is read from them and can be read again.
One lock holds while anything is changed, so several windows may be open at once.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapes.errors import InputError, TableworkError
from sheets import desk, desk_page
from sheets.web import class_table, toml_text
from sheets.web.class_table import Row, Table
from sheets.web.folder import CLASSES, STATE, THEMES, Folder, OpenFile
from sheets.web.settings import FIRST_THEME, Settings, read_settings

if TYPE_CHECKING:
    from sheets.files.class_list import Child, ClassList
    from sheets.packet.plan import Plan, PlannedSheet
    from sheets.theme.theme import Theme

MOST_UNDO, MOST_WINDOWS = 40, 60


@dataclass(frozen=True)
class _Step:
    """One change that can be taken back: what the file held before."""

    label: str
    file: OpenFile
    before: bytes


class Session:
    """The open files of one folder.

    Args:
        folder: the teacher's.
    """

    def __init__(self, folder: Folder) -> None:
        self.folder = folder
        self.lock = threading.RLock()
        self.revision = 1
        self.steps: list[_Step] = []
        self._windows: dict[str, int] = {}
        self._count = 1
        self._own = OpenFile(folder.path / STATE)
        self.settings = read_settings(self._own.content)
        self._theme_file: OpenFile | None = None
        self._class_file: OpenFile | None = None
        self.table = class_table.new_table()
        self._rows: list[Row] = []
        self._unreadable = False
        self.theme_problems: tuple[str, ...] = ()
        self.class_problems: tuple[str, ...] = ()
        self.theme: Theme = desk.theme(FIRST_THEME)
        self.class_list: ClassList | None = None
        self._plan: tuple[int, Plan | None, str] = (0, None, "")
        self._open_at_start()

    # --- opening ---

    def _open_at_start(self) -> None:
        """The files that were open last; else the first ones there are."""
        classes = self.folder.names(CLASSES)
        remembered = [name for name in classes if name == self.settings.class_list]
        try:
            self._take_theme(self.settings.theme)
        except TableworkError:
            self._take_theme(FIRST_THEME)
        # Other tables may lie in the folder: only one that is a class list is opened unasked.
        self._take_class(next((n for n in remembered or classes if self._is_class(n)), ""))

    def _is_class(self, name: str) -> bool:
        try:
            desk_page.read_class(OpenFile(self.folder.path / name).content, name)
        except TableworkError:
            return name == self.settings.class_list
        return True

    def builtin_names(self) -> list[str]:
        return list(desk.theme_titles())

    @property
    def theme_is_own(self) -> bool:
        """Whether the theme is a file of the folder, and so can be changed."""
        return self._theme_file is not None

    def open_theme(self, name: str) -> None:
        """Take another theme: a built-in one or a file of the folder."""
        self._take_theme(name)
        self._keep_settings()

    def open_class(self, name: str) -> None:
        """Take another class list of the folder."""
        self.folder.file(name, CLASSES)
        self._take_class(name)
        self._keep_settings()

    def _take_theme(self, name: str) -> None:
        own = name not in self.builtin_names()
        file = OpenFile(self.folder.file(name, THEMES)) if own else None
        self._forget(self._theme_file)
        self._theme_file, self.settings.theme = file, name
        self.theme_problems = ()
        if file is None:
            self.theme = desk.theme(name)
        else:
            self._read_theme()
        self.revision += 1

    def _take_class(self, name: str) -> None:
        file = OpenFile(self.folder.file(name, CLASSES)) if name else None
        self._forget(self._class_file)
        self._class_file, self.settings.class_list = file, name
        self._read_class_file()

    def _read_theme(self) -> None:
        file = self._theme_file
        if file is None:
            return
        try:
            self.theme = desk_page.read_theme(file.content, file.name, self.folder.path)
            self.theme_problems = ()
        except TableworkError as error:
            self.theme_problems = problems_of(error)
        self.revision += 1

    def _read_class_file(self) -> None:
        file = self._class_file
        content, name = (file.content, file.name) if file else (b"", "class.csv")
        self._unreadable = False
        try:
            self.table = class_table.read_table(content, name, self.table.next_id)
            if "name" not in self.table.columns:
                desk_page.read_class(content, name)  # says what is wrong with it
        except TableworkError as error:
            self._unreadable = True
            self.table = class_table.new_table()
            self.class_list, self.class_problems = None, problems_of(error)
            self.revision += 1
            return
        self._read_children()

    def _read_children(self) -> None:
        """The children of the table: all that nothing is wrong with."""
        self.class_problems, self.class_list = (), None
        self._rows = [row for row in self.table.filled() if not row.cells[0].startswith("#")]
        if self._rows:
            try:
                self.class_list = self._parsed(self._rows)
            except TableworkError as error:
                self.class_problems = self._problems_in_file() or problems_of(error)
                self._rows = [row for row in self._rows if self._is_sound(row)]
                self._read_sound()
        self.revision += 1

    def _parsed(self, rows: Sequence[Row]) -> ClassList:
        bare = tuple(replace(row, notes=()) for row in rows)
        return self._parse(replace(self.table, rows=bare, above=(), below=()))

    def _parse(self, table: Table) -> ClassList:
        name = self.settings.class_list or "class.csv"
        return desk_page.read_class(class_table.as_csv(table), name)

    def _problems_in_file(self) -> tuple[str, ...]:
        """What is wrong, with the lines that the file itself has."""
        try:
            self._parse(self.table)
        except TableworkError as error:
            return problems_of(error)
        return ()

    def _is_sound(self, row: Row) -> bool:
        try:
            self._parsed([row])
        except TableworkError:
            return False
        return True

    def wrong_rows(self) -> set[int]:
        """Rows that something is wrong with."""
        sound = {row.id for row in self._rows}
        return {row.id for row in self.table.filled()} - sound if self.class_problems else set()

    def _read_sound(self) -> None:
        """What is left without the rows that something is wrong with, if that can be read."""
        with contextlib.suppress(TableworkError):
            self.class_list = self._parsed(self._rows) if self._rows else None

    # --- windows ---

    def new_window(self) -> str:
        """A window of the page that knows everything up to now."""
        self._windows[str(self._count)] = self.revision
        self._count += 1
        for old in list(self._windows)[:-MOST_WINDOWS]:
            del self._windows[old]
        return str(self._count - 1)

    def news_for(self, window: str) -> bool:
        """Whether something changed since this window was last told; now it is."""
        before = self._windows.get(window)
        if before is not None:
            self._windows[window] = self.revision
        return before != self.revision

    # --- changing ---

    def change_class(self, label: str, change: Callable[[Table], Table]) -> None:
        """Change the table and write its file.

        Raises:
            ChangedOutsideError: another program has written the file; nothing is changed.
        """
        if self._unreadable:
            raise InputError(
                "this class list cannot be read, so it is not changed",
                where=self.settings.class_list, fix="mend the file, or open another",
            )  # fmt: skip
        table = change(self.table)
        file = self._class_file
        if file is None:
            path = self.folder.new("my class", ".csv")
            file = OpenFile(path)
            self._class_file, self.settings.class_list = file, path.name
            self._keep_settings()
        self._write(label, file, class_table.written(table, file.name, file.content))
        self.table = table
        self._read_children()

    def change_theme(self, label: str, change: Callable[[toml_text.Data], None]) -> None:
        """Change the content of the theme's file and write it.

        Raises:
            InputError: the theme is built-in, or its file cannot be read.
            ChangedOutsideError: as for :meth:`change_class`.
        """
        file = self._theme_file
        if file is None:
            raise InputError("this theme comes with the tool", fix="make a copy of it to change")
        text = file.content.decode("utf-8-sig", "replace")
        data = self.theme_data()
        change(data)
        self._write(label, file, toml_text.text_with(text, data).encode())
        self._read_theme()

    def theme_data(self) -> toml_text.Data:
        """The content of the theme's file.

        Raises:
            InputError: it cannot be read.
        """
        file = self._theme_file
        text = desk_page.builtin_text(self.settings.theme) if file is None else ""
        try:
            return toml_text.read(text or (file.content.decode("utf-8-sig") if file else ""))
        except (ValueError, RecursionError):
            raise InputError(
                "the theme file cannot be read", where=self.settings.theme, fix="mend it or "
                "choose another theme"
            ) from None  # fmt: skip

    def change_settings(self, label: str, change: Callable[[Settings], None]) -> None:
        """Change what is in the page's own file."""
        before = self.settings.text()
        change(self.settings)
        self._keep_settings()
        self._remember(_Step(label, self._own, before))
        self.revision += 1

    def _keep_settings(self) -> None:
        if self._own.changed_outside():  # nobody writes it by hand
            self._own.read()
        self._own.write(self.settings.text())

    def _write(self, label: str, file: OpenFile, content: bytes) -> None:
        before = file.content
        if content == before:
            return
        file.write(content)
        self._remember(_Step(label, file, before))

    def _forget(self, file: OpenFile | None) -> None:
        """Changes of a file that is closed, or no longer what it was, are not taken back."""
        self.steps = [step for step in self.steps if step.file is not file]

    def _remember(self, step: _Step) -> None:
        self.steps.append(step)
        del self.steps[:-MOST_UNDO]

    def undo(self) -> str:
        """Take the last change back; what it was.

        Raises:
            InputError: there is none.
            ChangedOutsideError: another program has written the file.
        """
        if not self.steps:
            raise InputError("nothing to take back", fix="go on")
        step = self.steps[-1]
        if step.file is self._own:
            # Which files are open is no change that is taken back.
            old = read_settings(step.before)
            self.settings = replace(
                old, theme=self.settings.theme, class_list=self.settings.class_list
            )
            self._keep_settings()
        else:
            step.file.write(step.before)
        self.steps.pop()
        if step.file is self._theme_file:
            self._read_theme()
        elif step.file is self._class_file:
            self._read_class_file()
        self.revision += 1
        return step.label

    # --- changed outside ---

    def changed_outside(self) -> list[str]:
        """Names of open files that another program has changed."""
        files = [file for file in (self._theme_file, self._class_file) if file is not None]
        return [file.name for file in files if file.changed_outside()]

    def take_from_disk(self) -> None:
        """Read the changed files as they are now; the changes made here stay in the undo list."""
        changed = self.changed_outside()
        for file, read in (
            (self._theme_file, self._read_theme),
            (self._class_file, self._read_class_file),
        ):
            if file is not None and file.name in changed:
                self._forget(file)
                file.read()
                read()

    def keep_as_copy(self) -> list[str]:
        """Write what is here under other names and go on with those files."""
        changed = self.changed_outside()
        made = []
        for file in (self._theme_file, self._class_file):
            if file is None or file.name not in changed:
                continue
            path = self.folder.new(f"{file.path.stem} kept", file.path.suffix)
            desk_page.write_bytes(file.content, path)
            made.append(path.name)
            if file is self._theme_file:
                self.open_theme(path.name)
            else:
                self.open_class(path.name)
        return made

    # --- the plan ---

    def plan(self) -> tuple[Plan | None, str]:
        """The pages of the class, left-out ones included; None and why there are none."""
        if self._plan[0] != self.revision:
            self._plan = (self.revision, *self._new_plan())
        return self._plan[1:]

    def _new_plan(self) -> tuple[Plan | None, str]:
        if self.class_list is None:
            return None, ""
        try:
            plan = desk.plan_packet(self.theme, self.class_list, self.choices())
            return desk_page.picked(plan, (), self.settings.another), ""
        except TableworkError as error:
            return None, str(error)

    def choices(self) -> Any:
        """The choices of a packet."""
        return desk_page.choices(self.settings.choices)

    def packet_plan(self) -> Plan:
        """What is printed: the plan without the pages left out.

        Raises:
            InputError: there is nothing to print.
        """
        plan, why = self.plan()
        if plan is None:
            raise InputError(why or "there are no children yet", fix="fill in the class list first")
        return desk_page.picked(plan, self.settings.left_out, {})

    def children(self) -> list[tuple[int, Child]]:
        """Row and child, for all rows that are sound."""
        if self.class_list is None:
            return []
        ids = class_table.lines_of(replace(self.table, rows=tuple(self._rows)))
        return [(ids[child.row], child) for child in self.class_list.children]

    def planned(self, row: int) -> list[PlannedSheet]:
        """The sheets of one child, the first of each kind."""
        plan, _ = self.plan()
        child = dict(self.children()).get(row)
        if plan is None or child is None:
            return []
        first: dict[str, PlannedSheet] = {}
        for planned in plan.sheets:
            if planned.child.tag == child.tag:
                first.setdefault(planned.kind, planned)
        return list(first.values())


def problems_of(error: TableworkError) -> tuple[str, ...]:
    """The lines of an error, one for each problem."""
    return tuple(getattr(error, "problems", None) or (str(error),))


def new_session(folder: Path) -> Session:
    """A session on a folder; FileError if there is none."""
    return Session(Folder(folder))
