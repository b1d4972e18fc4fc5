"""`nextpass compare`: did the change help, or was it the air, the track, chance?"""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from nextpass.answers import compare_answer
from nextpass.cli.options import CarArgument, FromBookOption, JsonOption, UnitsOption, pass_counts
from nextpass.cli.progress import progress_bar
from nextpass.cli.show_compare import show_comparisons
from nextpass.jobs import CompareAsked, compare_folders, compare_in_book
from nextpass.units import ShownUnits


def compare(
    car: CarArgument,
    passes: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="[PASS...]",
            help="Passes in the order in which they were run: two, or several that --change parts into groups.",
            show_default=False,
        ),
    ] = None,
    change: Annotated[
        str | None,
        typer.Option(
            "--change",
            metavar="ADJUSTER",
            help="Group the passes by the value of this adjuster; a gear follows its name with a dot.",
            show_default=False,
        ),
    ] = None,
    before: Annotated[
        list[Path] | None,
        typer.Option("--before", metavar="PASS", help="A pass before the change; repeat it.", show_default=False),
    ] = None,
    after: Annotated[
        list[Path] | None,
        typer.Option("--after", metavar="PASS", help="A pass after the change; repeat it.", show_default=False),
    ] = None,
    scatter: Annotated[
        float | None,
        typer.Option(
            "--scatter",
            min=0.002,
            max=1.0,
            metavar="SECONDS",
            help="What the ET of like passes of this car scatters by (standard deviation), where you know it.",
            show_default=False,
        ),
    ] = None,
    book: FromBookOption = None,
    as_json: JsonOption = False,
    units: UnitsOption = ShownUnits(),
) -> None:
    """Say whether a change helped, with the air, the slope and the day's grip taken out.

    Two passes:  nextpass compare car.toml pass3 pass4
    By setting:  nextpass compare car.toml pass1 pass2 pass3 pass4 --change launch_rpm
    By hand:     nextpass compare car.toml --before pass1 --before pass2 --after pass3
    In a book:   nextpass compare "Harrow wagon" 3 4 --book season

    It gives the effect with its 90 % interval, how likely it is to be real, where on the strip it comes from, and how
    many more passes would settle it. Where the passes cannot tell, it says so.
    """
    with progress_bar("reading the passes") as report:
        if book is None:
            compared = compare_folders(car, passes or (), before or (), after or (), change, scatter, report)
        else:
            asked = CompareAsked(
                passes=pass_counts(passes or ()),
                before=pass_counts(before or ()),
                after=pass_counts(after or ()),
                change=change,
                known_scatter_s=scatter,
            )
            compared = compare_in_book(book, str(car), asked, report)
    if as_json:
        print(compare_answer(compared).model_dump_json(indent=2))
        return
    show_comparisons(Console(), compared, units)
