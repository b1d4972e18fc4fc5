"""`nextpass codes`: what trouble codes mean for this car, weighed against its logs."""

import sys
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from nextpass.answers import codes_answer
from nextpass.cli.options import FromBookOption, JsonOption, pass_counts
from nextpass.cli.progress import progress_bar
from nextpass.cli.show_codes import show_codes
from nextpass.errors import NotEnoughData
from nextpass.jobs import codes_in, codes_of_file, weigh_code_texts, weigh_in_book
from nextpass.words import phrase

STANDARD_INPUT = Path("-")


def codes(
    names: Annotated[
        list[str] | None,
        typer.Argument(metavar="[CODE...]", help="Codes such as P0299, stored together.", show_default=False),
    ] = None,
    text: Annotated[
        Path | None,
        typer.Option(
            "--text",
            metavar="FILE",
            help="A text that names codes, such as a scan's printout; - reads standard input.",
            show_default=False,
        ),
    ] = None,
    car: Annotated[
        Path | None, typer.Option("--car", metavar="CAR", help="The car file, to weigh passes.", show_default=False)
    ] = None,
    passes: Annotated[
        list[Path] | None,
        typer.Option("--pass", metavar="PASS", help="A pass that the codes came with; repeat it.", show_default=False),
    ] = None,
    before: Annotated[
        list[str] | None,
        typer.Option(
            "--before",
            metavar="CODE",
            help="A code that stood before clearing or repair; repeat it.",
            show_default=False,
        ),
    ] = None,
    book: FromBookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say what trouble codes mean, their likely causes, what the logs say for and against each, and the next test.

    Save codes and freeze frames before clearing: clearing destroys evidence and readiness.
    """
    found = list(codes_in(names or ()))
    if text is not None:
        found += codes_in([sys.stdin.read()]) if text == STANDARD_INPUT else codes_of_file(text)
    stood = codes_in(before or ())
    with progress_bar("reading the codes") as report:
        now = tuple(dict.fromkeys(found))
        if book is None:
            weighed, states = weigh_code_texts(now, stood, car, passes or (), report)
        else:
            weighed, states = weigh_in_book(book, _named(car), now, stood, pass_counts(passes or ()), report)
    if as_json:
        print(codes_answer(weighed, states).model_dump_json(indent=2))
        return
    show_codes(Console(), weighed, states)


def _named(car: Path | None) -> str:
    if car is None:
        raise NotEnoughData(phrase("refusal.cli.several_cars"), remedy=phrase("refusal.cli.name_one_car"))
    return str(car)
