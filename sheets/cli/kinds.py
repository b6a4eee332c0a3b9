"""The commands of the kinds that take a theme or words."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from sheets.cli.options import (
    AllowOutside,
    BarMeasures,
    Force,
    HandName,
    InkName,
    Laminate,
    Language,
    Name,
    Needs,
    Out,
    PaperName,
    Seed,
    Stage,
    ThemeName,
    Title,
    Words,
)


def register(app: typer.Typer) -> None:
    """Add the commands to the application."""
    app.command("trace-match")(trace_match)
    app.command("letter-match")(letter_match)
    app.command("sequence")(sequence)
    app.command("pattern")(pattern)


def trace_match(
    words: Words = None,
    stage: Stage = 3,
    theme: ThemeName = None,
    form: Annotated[
        Literal["objects", "shadow"] | None,
        typer.Option("--form", help="Outlines of real things, or pictures on their shadows."),
    ] = None,
    thing: Annotated[
        list[str] | None,
        typer.Option("--thing", help="can211, tub=62 or box=120x65x4 (mm); may be repeated."),
    ] = None,
    laminate: Laminate = False,
    paper: PaperName = None,
    name: Name = "",
    title: Title = None,
    hand: HandName = "either",
    language: Language = "en",
    ink: InkName = "normal",
    needs: Needs = "",
    seed: Seed = 0,
    bar_measures: BarMeasures = None,
    out: Out = None,
    force: Force = False,
    allow_outside: AllowOutside = False,
) -> None:
    """Real things on their outlines, or pictures on their shadows."""
    from sheets.cli import run, run_kinds

    options = run.options(
        paper=paper,
        name=name,
        title=title,
        hand=hand,
        language=language,
        ink=ink,
        seed=seed,
        needs=needs,
    )
    sheet = run_kinds.trace_match(words or (), theme, stage, options, form, thing or (), laminate)
    raise typer.Exit(
        run.write_sheet(
            sheet,
            run_kinds.target(out, "trace-match", theme, words),
            force=force,
            allow_outside=allow_outside,
            bar_measures=bar_measures,
        )
    )


def letter_match(
    words: Words = None,
    stage: Stage = 3,
    theme: ThemeName = None,
    form: Annotated[
        Literal["same", "small", "first", "sort"] | None,
        typer.Option("--form", help="Same letter, capital to small, first letter, or sort."),
    ] = None,
    layout: Annotated[
        Literal["lines", "cards"] | None,
        typer.Option("--as", help="Lines to draw, or cards to set on letters."),
    ] = None,
    letters: Annotated[
        str, typer.Option("--letters", help="Letters to use, separated by commas.")
    ] = "",
    turned: Annotated[
        bool, typer.Option("--turned", help="Allow b d p q and n u beside each other.")
    ] = False,
    paper: PaperName = None,
    name: Name = "",
    title: Title = None,
    hand: HandName = "either",
    language: Language = "en",
    ink: InkName = "normal",
    needs: Needs = "",
    seed: Seed = 0,
    bar_measures: BarMeasures = None,
    out: Out = None,
    force: Force = False,
    allow_outside: AllowOutside = False,
) -> None:
    """Letters to match: same, small, first of a word, or a sort."""
    from sheets.cli import run, run_kinds

    options = run.options(
        paper=paper,
        name=name,
        title=title,
        hand=hand,
        language=language,
        ink=ink,
        seed=seed,
        needs=needs,
    )
    chosen = tuple(part.strip() for part in letters.split(",") if part.strip())
    sheet = run_kinds.letter_match(words or (), theme, stage, options, form, layout, chosen, turned)
    raise typer.Exit(
        run.write_sheet(
            sheet,
            run_kinds.target(out, "letter-match", theme, words),
            force=force,
            allow_outside=allow_outside,
            bar_measures=bar_measures,
        )
    )


def sequence(
    words: Words = None,
    stage: Stage = 3,
    theme: ThemeName = None,
    which: Annotated[
        str | None, typer.Option("--sequence", help="Number or title, if the theme has several.")
    ] = None,
    steps: Annotated[int | None, typer.Option("--steps", help="How many pictures, 2 to 6.")] = None,
    labels: Annotated[bool, typer.Option("--labels", help="Words under the pictures.")] = False,
    wheel: Annotated[bool, typer.Option("--wheel", help="A ring, for a cycle.")] = False,
    laminate: Laminate = False,
    cut_by: Annotated[
        Literal["adult", "child"] | None, typer.Option("--cut-by", help="Who cuts the cards.")
    ] = None,
    backs: Annotated[
        Literal["fold", "long", "short"] | None,
        typer.Option(
            "--backs",
            help="Places on the backs: folded over, or two sides turned on the long or short edge.",
        ),
    ] = None,
    paper: PaperName = None,
    name: Name = "",
    title: Title = None,
    hand: HandName = "either",
    language: Language = "en",
    ink: InkName = "normal",
    needs: Needs = "",
    seed: Seed = 0,
    bar_measures: BarMeasures = None,
    out: Out = None,
    force: Force = False,
    allow_outside: AllowOutside = False,
) -> None:
    """Picture cards to cut apart and lay in order."""
    from sheets.cli import run, run_kinds

    options = run.options(
        paper=paper,
        name=name,
        title=title,
        hand=hand,
        language=language,
        ink=ink,
        seed=seed,
        needs=needs,
    )
    sheet = run_kinds.sequence(
        words or (), theme, stage, options, which, steps, labels, wheel, laminate, cut_by, backs
    )
    raise typer.Exit(
        run.write_sheet(
            sheet,
            run_kinds.target(out, "sequence", theme, words),
            force=force,
            allow_outside=allow_outside,
            bar_measures=bar_measures,
        )
    )


def pattern(
    words: Annotated[
        list[str] | None,
        typer.Argument(help="One unit in order, such as 'blue circle' duck; or pictures."),
    ] = None,
    stage: Stage = 3,
    theme: ThemeName = None,
    form: Annotated[
        str | None,
        typer.Option(
            "--form", help="A form of the stage, such as mend, copy or carry-on; or colour-copy."
        ),
    ] = None,
    unit: Annotated[int | None, typer.Option("--unit", help="Which pattern of the theme.")] = None,
    answer: Annotated[
        str | None, typer.Option("--as", help="boxes to fill, or tiles to lay.")
    ] = None,
    model: Annotated[
        str, typer.Option("--model", help="Where the model lies: above or below.")
    ] = "above",
    paper: PaperName = None,
    name: Name = "",
    title: Title = None,
    hand: HandName = "either",
    language: Language = "en",
    ink: InkName = "normal",
    needs: Needs = "",
    seed: Seed = 0,
    bar_measures: BarMeasures = None,
    out: Out = None,
    force: Force = False,
    allow_outside: AllowOutside = False,
) -> None:
    """Rows to copy, mend or carry on, or a picture to colour."""
    from sheets.cli import run, run_kinds

    options = run.options(
        paper=paper,
        name=name,
        title=title,
        hand=hand,
        language=language,
        ink=ink,
        seed=seed,
        needs=needs,
    )
    sheet = run_kinds.pattern(words or (), theme, stage, options, form, unit, answer, model)
    raise typer.Exit(
        run.write_sheet(
            sheet,
            run_kinds.target(out, "pattern", theme, words),
            force=force,
            allow_outside=allow_outside,
            bar_measures=bar_measures,
        )
    )
