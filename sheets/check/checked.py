"""A page of anybody's, measured: what was found, where, and what could not be measured."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.errors import InputError
from sheets.check.audit import page_from_svg
from sheets.check.check import check_page
from sheets.check.guidance import check_skill, check_stage
from sheets.check.part import listed, measurable
from sheets.check.unmeasured import Unmeasured, likely_skill, of_the_skill, unmeasured
from sheets.check.where import Where, named, where
from sheets.page.model import Finding, Page

AUTO = "auto"

LARGE_BYTES = 300_000
"""A page of more is measured in a process of its own; ours have 5 to 100 KB."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What was measured on an SVG page, what could not be, and what was found strange in it.

    Args:
        page: as read, every mark with a name.
        part: of it that was measured, which is less where there are very many marks.
        of_skill: whether any mark has a role that the skill is about.
    """

    page: Page
    part: Page
    skill: str
    stage: int
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]
    unmeasured: tuple[Unmeasured, ...]
    of_skill: bool

    @property
    def outside(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.outside)

    def where(self, finding: Finding) -> Where | None:
        """The place of a finding, None if it is about the page as a whole."""
        return where(self.part, finding)


def checked(content: bytes, name: str, skill: str, stage: int) -> Checked:
    """Measure the marks of an SVG page by the guidance of a skill and stage.

    Args:
        name: of the file, for messages.
        skill: ``auto`` takes the one that the roles of the marks speak for.

    Raises:
        InputError: no such skill or stage, the file is no page, or it takes too much time or
            memory.
    """
    if len(content) <= LARGE_BYTES:
        return _checked(content, name, skill, stage)
    from shapes.apart import call

    found: Checked = call(_checked, content, name, skill, stage, where=name)
    return found


def _checked(content: bytes, name: str, skill: str, stage: int) -> Checked:
    if skill != AUTO:
        check_skill(skill)
    check_stage(stage)
    audited = page_from_svg(content, name)
    page = named(audited.page)
    part, notes = measurable(page)
    taken = likely_skill(page) if skill == AUTO else skill
    if taken is None:
        raise InputError(
            "the roles of its marks speak for no one skill", where=name, fix="give its `skill`"
        )
    try:
        findings, unlisted = listed(check_page(part, taken, stage))
    except InputError as error:
        raise type(error)(error.what, where=name, fix=error.fix) from None
    missing = unmeasured(part, taken, stage, findings)
    of_skill = of_the_skill(part, taken)
    notes = (*audited.notes, *notes, *unlisted)
    return Checked(page, part, taken, stage, findings, notes, missing, of_skill)
