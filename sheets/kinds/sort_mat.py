"""Sort mats: picture cards to lay in the area where they belong: by look, then by rules."""

from __future__ import annotations

import random
from dataclasses import dataclass

from sheets.kinds import toolkit as kit
from sheets.kinds.toolkit import Options, Row, SheetBuilder, Source, Step, Theme, choice

NAME, NEITHER, BY_LOOK, AGAIN = "sort-mat", "neither", (0, 1), 6


@dataclass(frozen=True, slots=True)
class Sort:
    """What belongs in each area, in none, and in several (to talk about), with a note."""

    title: str
    bins: dict[str, tuple[Step, ...]]
    neither: tuple[Step, ...] = ()
    talk: tuple[Step, ...] = ()
    note: str = ""

    def area(self, step: Step) -> str:
        """The area a thing belongs in; :data:`NEITHER` if in none."""
        return next((name for name, steps in self.bins.items() if step in steps), NEITHER)

    @property
    def steps(self) -> tuple[Step, ...]:
        return (*(s for steps in self.bins.values() for s in steps), *self.neither, *self.talk)


def read_sort(reader: kit.ThemeReader, row: Row, at: kit.At) -> Sort:
    """A row of the theme's table."""
    neither, talk = (reader.steps(row, key, at, needed=False) for key in ("neither", "talk"))
    sort = Sort(reader.text(row, "title", at), reader.groups(row, "bins", at), neither, talk,
                reader.text(row, "note", at, False))  # fmt: skip
    reader.refuse_twice([step.word for step in sort.steps], at, "bins")
    return sort


SORTS = kit.Section("sorts", ("title", "bins", "neither", "talk", "note"), read_sort,
                    steps=lambda sort: sort.steps, starter=kit.starter(NAME))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Choices:
    """What only a sort mat is told."""

    sort: str | None = choice("Number or title, if the theme has several.")
    cards: int | None = choice("How many cards belong in the areas.", least=2, most=9)


@dataclass(frozen=True, slots=True)
class SortTask(kit.Task):
    """The rules, one mat each, and the cards in the order they are printed."""

    rules: tuple[Sort, ...]
    cards: tuple[Step, ...]


def task(source: Source, stage: int, options: Options, choices: Choices) -> SortTask:
    """A sort of the theme, or of two pictures by look; InputError where there is none."""
    rng = random.Random(f"{options.seed}:{stage}:sort")
    alike = kit.title(NAME, "alike", options.words_language)
    theme, most = source.as_theme(alike), kit.MOST_FOR_LOW_VISION if kit.is_low(options) else 9
    count = min(choices.cards or int(kit.amount(NAME, stage, "cards")), most)
    if stage in BY_LOOK:
        pair = rng.sample(kit.distinct(theme, 2), 2)
        rules: tuple[Sort, ...] = (Sort(alike, {s.word: (s,) * (count // 2) for s in pair}),)
    else:
        rules = _rules(theme, stage, choices.sort)
    pools = [[step for step in rng.sample(steps, len(steps)) if rules[-1].area(step) != NEITHER]
             for steps in rules[0].bins.values()]  # fmt: skip
    cards = kit.dealt(pools)[:count]
    spare = min(int(kit.amount(NAME, stage, "left_over")), len(rules[0].neither), most - len(cards))
    cards += rng.sample(rules[0].neither, spare)
    rng.shuffle(cards)
    return SortTask(stage, rules[0].title, theme.badge, rules, tuple(cards))


def _rules(theme: Theme, stage: int, wanted: str | None) -> tuple[Sort, ...]:
    areas = kit.amount(NAME, stage, "areas")
    rows = sorted(theme.rows(SORTS), key=lambda row: len(row.bins) != areas)
    first = kit.one_of(rows, wanted, theme, "sort")
    again = [r for r in rows if r != first and sum(r.area(s) != NEITHER for s in first.steps) > 3]
    return (first, *again[:1]) if stage == AGAIN else (first,)


def draw(task: SortTask, options: Options, sheet: SheetBuilder) -> None:
    """A page for each mat, and the cards."""
    side = kit.amount(NAME, task.stage, "card_side")
    grid, answer = sheet.grid(len(task.cards), side, side), []
    ask = "alike" if task.stage in BY_LOOK else "belongs"
    rims = [4.0 + (k % 3) * side / 8.0 * (task.stage == 1) for k in range(grid.count)]
    faces = sheet.faces(grid, [step.picture for step in task.cards], insets=rims)
    for rule in task.rules:
        areas = {name: words for name in (*rule.bins, NEITHER)
                 if (words := [s.word for s in task.cards if rule.area(s) == name])
                 or name != NEITHER}  # fmt: skip
        examples = [next((s.picture for s in rule.bins.get(name, ()) if s not in task.cards
                          or task.stage in BY_LOOK), None) for name in areas]  # fmt: skip
        sheet.title = options.title or rule.title
        names = [kit.title(NAME, n, options.words_language) if n == NEITHER else n for n in areas]
        mat = kit.mat(sheet.frame.work, names, examples, options)
        sheet.page(mat.marks, f"mat, {rule.title}", ask=[ask])
        sheet.keep()
        talk = [f"Talk about it: {step.word} may lie in several." for step in rule.talk]
        notes = ["Also accept: another place with a reason.", rule.note, *talk]
        said = "; ".join(f"{n}: {', '.join(words)}" for n, words in areas.items() if words)
        solved = [*mat.marks, *mat.listed(list(areas.values()))]
        sheet.key(solved, notes, title=rule.title, text=said)
        answer.append(areas)
    sheet.title = options.title or task.title
    sheet.needs(kit.PRINTED)
    sheet.cards_to_cut(faces, grid, "cards", ask=["cards", ask])
    sheet.record(areas=len(areas), items=len(task.cards), answer=answer)


KIND = kit.Kind("lays picture cards where they belong", __name__, Choices, section=SORTS)
