"""Arguments and options that several commands share."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer

from nextpass.cli.edge import LANGUAGE_KEY, LANGUAGE_VARIABLE
from nextpass.errors import SettingError, Where
from nextpass.units import ShownUnits, shown_units
from nextpass.words import phrase


def _units(asked: str | ShownUnits) -> ShownUnits:
    # The default comes through here as well, and is no text.
    return asked if isinstance(asked, ShownUnits) else shown_units(asked)


def _kept_language(ctx: typer.Context, language: str) -> str:
    ctx.meta[LANGUAGE_KEY] = language
    return language


def pass_counts(given: Sequence[Path]) -> tuple[int, ...]:
    """Counts of passes of a book, as they were typed where folders are given otherwise.

    Raises
    ------
    SettingError
        One of them is no count.
    """
    for one in given:
        if not str(one).isdecimal() or int(str(one)) < 1:
            raise SettingError(phrase("refusal.cli.no_count"), Where(key=str(one)), phrase("refusal.cli.name_by_count"))
    return tuple(int(str(one)) for one in given)


CarArgument = Annotated[Path, typer.Argument(metavar="CAR", help="The car file, car.toml.", show_default=False)]
PassArgument = Annotated[
    Path, typer.Argument(metavar="PASS", help="The folder of a pass: pass.toml with its log.", show_default=False)
]
PassesArgument = Annotated[
    list[Path],
    typer.Argument(
        metavar="PASS...", help="Folders of passes, in the order in which they were run.", show_default=False
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Answer with one JSON object and nothing else.")]
UnitsOption = Annotated[
    ShownUnits,
    typer.Option(
        "--units",
        parser=_units,
        metavar="WORDS",
        help="Units to show: bar, kPa or psi; absolute or gauge; km/h or mph. Example: --units psi,gauge,mph",
        envvar="NEXTPASS_UNITS",
        show_default="bar, absolute, km/h",
    ),
]
ConditionsOption = Annotated[
    Path | None,
    typer.Option("--conditions", help="A file with the [conditions] of the pass to come.", show_default=False),
]
ChangesOption = Annotated[
    int | None, typer.Option("--changes", min=1, help="How many settings may change at most.", show_default=False)
]
LanguageOption = Annotated[
    Literal["en", "de"],
    typer.Option(
        "--language",
        help="Language of pages, cards and refusals.",
        envvar=LANGUAGE_VARIABLE,
        callback=_kept_language,
        is_eager=True,
    ),
]
BookOption = Annotated[
    str,
    typer.Option(
        "--book",
        metavar="PLACE",
        help="The folder of the book, or postgresql://user@host/name?logs=/folder/for/logs.",
        envvar="NEXTPASS_BOOK",
        show_default=False,
    ),
]
FromBookOption = Annotated[
    str | None,
    typer.Option(
        "--book",
        metavar="PLACE",
        help="Take car and passes from this book: the car by its name, each pass by its count.",
        show_default=False,
    ),
]
CarNamesOption = Annotated[
    list[str] | None,
    typer.Option("--car", help="Name of a car of the book; all cars without it.", show_default=False),
]
PassNumbersOption = Annotated[
    list[int] | None,
    typer.Option("--pass", min=1, help="A pass of the car by its count; all passes without it.", show_default=False),
]
WorkersOption = Annotated[int | None, typer.Option(min=1, help="Processes; one a core without it.", show_default=False)]
WithoutOption = Annotated[
    list[str] | None,
    typer.Option(
        "--without",
        metavar="WORDS",
        help="Leave out what is personal: notes, owner, started, position.",
        show_default=False,
    ),
]
