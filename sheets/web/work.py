"""What is made for the page and kept for a while: sheets, a packet in the making, checks."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Generic, TypeVar

from shapes.errors import TableworkError
from sheets import desk, desk_page
from sheets.web.faults import tell
from sheets.web.session import problems_of

if TYPE_CHECKING:
    from sheets.packet.make import Packet
    from sheets.packet.plan import Plan, PlannedSheet
    from sheets.page.model import Sheet

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Recent(Generic[K, V]):
    """A few values that were asked for last."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._found: OrderedDict[K, V] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: K) -> V | None:
        with self._lock:
            if key in self._found:
                self._found.move_to_end(key)
            return self._found.get(key)

    def put(self, key: K, value: V) -> None:
        with self._lock:
            self._found[key] = value
            self._found.move_to_end(key)
            while len(self._found) > self._most:
                self._found.popitem(last=False)


@dataclass
class Making:
    """A packet in the making, or made.

    Args:
        revision: of the session whose pages it has.
        plan: what it is made of.
        folder: where it is written.
        state: ``making``, ``done`` or ``failed``.
        problems: why it failed.
        outside: findings outside guidance; nothing is written then unless that was allowed.
        changed: pages that differ from the packet that was there, by file.
    """

    revision: int
    plan: Plan
    folder: Path
    allow_outside: bool = False
    state: str = "making"
    done: int = 0
    steps: int = 1
    problems: tuple[str, ...] = ()
    outside: tuple[str, ...] = ()
    files: dict[str, bytes] = field(default_factory=dict)
    week: desk_page.WeekShown | None = None
    changed: dict[str, list[int]] = field(default_factory=dict)

    def run(self) -> None:
        """Make and write it; whatever happens is in ``state`` afterwards."""
        try:
            packet = desk.make_packet(self.plan, self._told)
            self.outside = packet.outside
            self.week = desk_page.week_shown(packet)
            if self.outside and not self.allow_outside:
                self.state = "failed"
                return
            self._write(packet)
            self.state = "done"
        except TableworkError as error:
            self.problems, self.state = problems_of(error), "failed"
        except Exception as error:
            tell(error)
            self.problems, self.state = ("",), "failed"

    def _told(self, done: int, steps: int) -> None:
        self.done, self.steps = done, max(steps, 1)

    def _write(self, packet: Packet) -> None:
        desk.write_packet(packet, self.folder, force=desk_page.is_packet(self.folder))
        names = list(packet.plan.totals().pages)
        self.files = {name: packet.file(name) for name in names}
        self.changed = dict(packet.changed)


@dataclass(frozen=True)
class Single:
    """One sheet that was asked for by itself."""

    sheet: Sheet
    file: str
    bar_measures: float | None


class Work:
    """Sheets made last, the packet, single sheets and checked drawings by number."""

    def __init__(self) -> None:
        self._sheets: Recent[Hashable, Sheet] = Recent(48)
        self.singles: Recent[int, Single] = Recent(4)
        self.checks: Recent[int, desk_page.CheckedShown] = Recent(3)
        self.packet: Making | None = None
        self._theme: object = None
        self._count = 0

    def next_number(self) -> int:
        self._count += 1
        return self._count

    def sheet(self, plan: Plan, planned: PlannedSheet) -> Sheet:
        """A child's sheet, made anew only if anything of it changed.

        Raises:
            InputError: it cannot be made.
        """
        if plan.theme is not self._theme:
            self._theme, self._sheets = plan.theme, Recent(48)
        key = (planned.kind, planned.stage, planned.options)
        found = self._sheets.get(key)
        if found is None:
            found = desk_page.planned_sheet(plan, planned)
            self._sheets.put(key, found)
        return found

    def start(self, making: Making, run: Callable[[], None] | None = None) -> None:
        """Begin a packet in a thread of its own; one at a time."""
        self.packet = making
        threading.Thread(target=run or making.run, daemon=True).start()
