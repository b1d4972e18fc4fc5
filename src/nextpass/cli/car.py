"""`nextpass car`: write a car file from a few answers, and check one."""

import re
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from nextpass.answers import car_answer
from nextpass.car import Car, Doubt, doubts
from nextpass.cli.edge import REFUSED, refusal_line
from nextpass.cli.options import CarArgument, JsonOption, LanguageOption
from nextpass.errors import CarFileError
from nextpass.files import CarAnswers, Drive, car_text, examine_car, new_car, refuse_standing, write_whole
from nextpass.words import text, translated

app = typer.Typer(no_args_is_help=True, help="Write a car file from a few answers, and check one.")


def _numbers(text: str) -> tuple[float, ...]:
    """Numbers parted by commas or blanks."""
    return tuple(float(part) for part in re.split(r"[,;\s]+", text.strip()) if part)


def _words(text: str) -> tuple[str, ...]:
    return tuple(part for part in re.split(r"[,;\s]+", text.strip()) if part)


def _drive(text: str) -> str:
    if text.strip().lower() not in ("all", "rear", "front"):
        raise ValueError(text)
    return text.strip().lower()


# Each answer that `car new` asks for, in order: the question, and what makes a value of the text.
QUESTIONS: Mapping[str, tuple[str, Callable[[str], object]]] = {
    "name": ("Your name for the car", str),
    "mass_kg": ("Mass as raced, with driver and fuel [kg]", float),
    "drive": ("Driven axles (all, rear, front)", _drive),
    "gears": ("Gear ratios from first gear up, or the number of gears", _numbers),
    "final_drive": ("Final drive ratio", float),
    "tyre_size": ("Size of the driven tyres", str),
    "displacement_l": ("Displacement [l]", float),
    "cylinders": ("Cylinders", int),
    "torque_nm": ("Peak torque at the crank [N m]", float),
    "pressure_kpa": ("Manifold pressure at which it makes that, absolute [kPa]", float),
    "rev_limit_rpm": ("Rev limit [rpm]", float),
    "clutch_nm": ("Torque that the clutch holds [N m]", float),
    "injector_cc_min": ("Flow of one injector at its rated pressure [cc/min]", float),
    "pumps_l_h": ("Flow of each fuel pump, in staging order [l/h]", _numbers),
    "fuels": ("Fuels, each NAME or NAME:MOST_KPA, such as E60:260", _words),
}


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="[FILE]", help="The file to write.")] = Path("car.toml"),
    name: Annotated[
        str | None, typer.Option(help="Your name for the car. Without it, the questions are asked.")
    ] = None,
    mass_kg: Annotated[float | None, typer.Option(help="Mass as raced, with driver and fuel.")] = None,
    drive: Annotated[Drive | None, typer.Option(help="Driven axles.")] = None,
    gears: Annotated[
        Any, typer.Option(parser=_numbers, metavar="RATIOS", help="4.06,2.30,1.59,... or the number of gears.")
    ] = None,
    final_drive: Annotated[float | None, typer.Option(help="Final drive ratio.")] = None,
    tyre_size: Annotated[str | None, typer.Option(help="Of the driven wheels, such as 285/35R20.")] = None,
    displacement_l: Annotated[float | None, typer.Option(help="Swept volume.")] = None,
    cylinders: Annotated[int | None, typer.Option(help="Number of cylinders.")] = None,
    torque_nm: Annotated[float | None, typer.Option(help="Peak torque at the crank.")] = None,
    pressure_kpa: Annotated[
        float | None, typer.Option(help="Absolute manifold pressure at which the engine makes it.")
    ] = None,
    rev_limit_rpm: Annotated[float | None, typer.Option(help="Where the limiter cuts.")] = None,
    clutch_nm: Annotated[float | None, typer.Option(help="Torque that the clutch holds.")] = None,
    injector_cc_min: Annotated[float | None, typer.Option(help="Flow of one injector at its rated pressure.")] = None,
    pumps_l_h: Annotated[
        Any, typer.Option("--pumps-l-h", parser=_numbers, metavar="FLOWS", help="Of each pump in staging order.")
    ] = None,
    fuel: Annotated[
        list[str] | None,
        typer.Option(help="E85 or road98, NAME:MOST_KPA, or NAME:MOST_KPA:ETHANOL_PCT:RON; give it once a fuel."),
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Replace the file if it is there already.")] = False,
) -> None:
    """Write a commented car file that passes `car check`.

    What is not said gets a usual value, marked 'check:' in the file.
    """
    said = {
        "name": name,
        "mass_kg": mass_kg,
        "drive": drive,
        "gears": gears,
        "final_drive": final_drive,
        "tyre_size": tyre_size,
        "displacement_l": displacement_l,
        "cylinders": cylinders,
        "torque_nm": torque_nm,
        "pressure_kpa": pressure_kpa,
        "rev_limit_rpm": rev_limit_rpm,
        "clutch_nm": clutch_nm,
        "injector_cc_min": injector_cc_min,
        "pumps_l_h": pumps_l_h,
        "fuels": tuple(fuel) if fuel else None,
    }
    said = {answer: value for answer, value in said.items() if value is not None}
    if not replace:
        refuse_standing(file, CarFileError)
    if name is None:
        said |= _asked([answer for answer in QUESTIONS if answer not in said])
    car, unsure = new_car(CarAnswers(**said), said)
    write_whole(file, car_text(car, unsure), replace=replace, refusal=CarFileError)
    print(f"{file}: written; {len(unsure)} values are usual ones, marked 'check:'.")
    print(f"Correct them, then run: nextpass car check {file}")


def _asked(answers: list[str]) -> dict[str, Any]:
    """Answers from the keyboard; what is left at the usual value does not count as said."""
    usual = CarAnswers(name="")
    said = {}
    for answer in answers:
        question, read = QUESTIONS[answer]
        value = getattr(usual, answer)
        shown = ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)
        given = typer.prompt(question, default=shown or None, value_proc=_reader(read), err=True)
        if given != read(shown):
            said[answer] = given
    return said


def _reader(read: Callable[[str], object]) -> Callable[[str], object]:
    """The same, with a word about what was wrong, so that the question is asked again."""

    def reread(text: str) -> object:
        try:
            return read(text)
        except ValueError as error:
            raise typer.BadParameter(f"{text!r} cannot be read as an answer") from error

    return reread


@app.command()
def check(car: CarArgument, as_json: JsonOption = False, language: LanguageOption = "en") -> None:
    """Say what is wrong in a car file, what it leaves open, and what in it is implausible."""
    read, faults = examine_car(car)
    if read is None:
        for fault in faults:
            print(refusal_line(fault, language), file=sys.stderr)
        raise typer.Exit(REFUSED)
    found = doubts(read)
    if as_json:
        print(car_answer(read, found).model_dump_json(indent=2))
    else:
        _show(Console(), read, found, language)


def _show(console: Console, car: Car, found: tuple[Doubt, ...], language: str) -> None:
    console.print(Text(text("cli.car.sound", language, name=car.name, count=car.gear_count), style="bold"))
    if car.assumed:
        table = Table(title=text("cli.car.assumed", language), title_justify="left", header_style="bold")
        for title in ("key", "value", "origin"):
            table.add_column(text(f"cli.car.{title}", language))
        for item in car.assumed:
            table.add_row(item.key, item.shown, translated(item.origin, language))
        console.print(table)
    console.print(Text(text("cli.car.implausible" if found else "cli.car.plausible", language), style="bold"))
    for doubt in found:
        what, remedy = translated(doubt.what, language), translated(doubt.remedy, language)
        console.print(Padding(Text(f"{doubt.key}: {what}; {remedy}"), (0, 0, 0, 2)))
