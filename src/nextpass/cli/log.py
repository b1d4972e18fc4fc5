"""`nextpass log`: what each column of a log is taken for, and the log in an open format."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from nextpass.answers import log_answer
from nextpass.cli.options import JsonOption, LanguageOption
from nextpass.errors import SettingError, Where
from nextpass.files import read_car, read_pass
from nextpass.log import (
    Log,
    LogHints,
    Match,
    answers_file,
    hints_for,
    join_logs,
    keep_answers,
    open_log,
    open_logs,
    vocabulary,
    write_log,
)
from nextpass.measure import Estimate
from nextpass.words import phrase, text, translated

app = typer.Typer(no_args_is_help=True, help="See what each column of a log is taken for, and convert logs.")

AsOption = Annotated[
    list[str] | None,
    typer.Option(
        "--as",
        metavar="COLUMN=CHANNEL:UNIT",
        help='Say what a column is, such as --as "Boost=manifold_pressure_kpa:psi gauge". It is kept for every later '
        'log with the same header. "COLUMN=-" leaves the column out.',
    ),
]
CarOption = Annotated[Path | None, typer.Option("--car", help="The car file: its gearing and tyres tell units apart.")]
PassOption = Annotated[Path | None, typer.Option("--pass", help="The pass folder: its air and fuel tell units apart.")]
RateOption = Annotated[
    float | None, typer.Option("--rate-hz", min=0.01, help="Rows a second, where the log counts rows instead of time.")
]
BaroOption = Annotated[
    float | None, typer.Option("--baro-kpa", min=50, max=110, help="Pressure of the air, to turn gauge into absolute.")
]
DbcOption = Annotated[Path | None, typer.Option("--dbc", help="Database of a CAN trace, where it lies elsewhere.")]
# Below this share a confidence is shown as doubtful.
_SURE = 0.9
_TITLES = ("column", "channel", "unit", "sure", "rate", "why")
_FIGURES = frozenset({"sure", "rate"})


@app.command()
def inspect(
    file: Annotated[Path, typer.Argument(help="The log.")],
    told: AsOption = None,
    car: CarOption = None,
    pass_folder: PassOption = None,
    rate_hz: RateOption = None,
    baro_kpa: BaroOption = None,
    dbc: DbcOption = None,
    as_json: JsonOption = False,
    language: LanguageOption = "en",
) -> None:
    """Show what each column was taken for, how sure that is, and what is asked."""
    answers = _told(told)
    log = open_log(file, _hints(car, pass_folder, rate_hz, baro_kpa, dbc), answers, answers_file())
    if answers:
        keep_answers(answers_file(), log.header_key, answers)
    if as_json:
        print(log_answer(log).model_dump_json(indent=2))
    else:
        _show(log, file, language)


@app.command()
def convert(
    files: Annotated[
        list[Path], typer.Argument(metavar="FILE... OUT", help="Logs of one pass, and the file to write.")
    ],
    offset_s: Annotated[
        float | None, typer.Option("--offset-s", help="Seconds by which the second log's clock is behind.")
    ] = None,
    told: AsOption = None,
    car: CarOption = None,
    pass_folder: PassOption = None,
    rate_hz: RateOption = None,
    baro_kpa: BaroOption = None,
    dbc: DbcOption = None,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Write a log as Parquet, MDF 4 or CSV with SI names, by the ending of OUT; several logs of a pass become one."""
    *sources, target = files
    if not sources:
        raise SettingError(phrase("refusal.cli.one_file"), Where(file=target), phrase("refusal.cli.name_both"))
    hints, answers = _hints(car, pass_folder, rate_hz, baro_kpa, dbc), _told(told)
    log = _opened(sources, hints, answers, offset_s)
    write_log(log, target, replace=force)
    console = Console(stderr=True)
    console.print(f"{target}: {len(log.channels)} channels, {len(log.unmatched)} other columns", highlight=False)
    for match in log.questions:
        console.print(f"  left as it was: {match.column!r}, {match.question}", highlight=False)


@app.command()
def channels(
    word: Annotated[str, typer.Argument(help="Part of a name, an alias or a meaning.")] = "",
) -> None:
    """List the channels that nextpass knows, by the names that --as takes."""
    table = Table(header_style="bold")
    for title in ("channel", "meaning", "also called"):
        table.add_column(title)
    for kind in vocabulary().channels.values():
        if word.lower() in " ".join((kind.name, kind.meaning, *kind.aliases)).lower():
            table.add_row(kind.name, kind.meaning, ", ".join(kind.aliases[:3]))
    Console().print(table)


def _told(told: list[str] | None) -> Mapping[str, str]:
    """Answers as ``COLUMN=CHANNEL:UNIT``; a column's own name may hold an equals sign."""
    answers: dict[str, str] = {}
    for said in told or ():
        column, sign, answer = said.rpartition("=")
        if not sign or not column:
            raise SettingError(phrase("refusal.cli.says_nothing", said=said), remedy=phrase("refusal.cli.write_as"))
        answers[column] = answer
    return answers


def _hints(
    car: Path | None, pass_folder: Path | None, rate_hz: float | None, baro_kpa: float | None, dbc: Path | None
) -> LogHints:
    hints = LogHints()
    if pass_folder is not None and car is None:
        raise SettingError(phrase("refusal.cli.pass_needs_car"), remedy=phrase("refusal.cli.name_car_file"))
    if car is not None:
        described = read_car(car)
        hints = hints_for(described, None if pass_folder is None else read_pass(pass_folder, described))
    if baro_kpa is not None:
        hints = replace(hints, barometric_pressure_kpa=baro_kpa)
    return replace(hints, sample_rate_hz=rate_hz, can_database=dbc)


def _opened(sources: list[Path], hints: LogHints, answers: Mapping[str, str], offset_s: float | None) -> Log:
    if offset_s is None or len(sources) != 2:
        return open_logs(sources, hints, answers, answers_file())
    first, second = (open_log(path, hints, answers, answers_file()) for path in sources)
    return join_logs(first, second, Estimate(value=offset_s, plus_minus=0.0))


def _show(log: Log, file: Path, language: str) -> None:
    console = Console()
    table = Table(title=str(file), title_justify="left", header_style="bold")
    for title in _TITLES:
        table.add_column(text(f"log.inspect.{title}", language), justify="right" if title in _FIGURES else "left")
    for match in log.matches:
        table.add_row(*_cells(match, language))
    console.print(table)
    for mark in log.marks:
        line = text("log.inspect.mark", language, at_s=mark.time_s, text=mark.text)
        console.print(line, highlight=False, markup=False)
    for remark in log.quality.remarks:
        console.print(f"- {translated(remark, language)}", highlight=False, markup=False)
    if log.questions:
        console.print(Text("\n" + text("log.inspect.questions", language), style="bold"))
        for match in log.questions:
            console.print(f"  {match.column}: {translated(match.question, language)}", highlight=False, markup=False)
            for choice in match.choices:
                console.print(f'    --as "{match.column}={choice}"', highlight=False, markup=False)


def _cells(match: Match, language: str) -> tuple[Text | str, ...]:
    reason = translated(match.reason, language)
    if match.channel is None:
        return Text(match.column), Text("-", style="dim"), Text(match.unit), "", "", Text(reason, style="dim")
    style = "" if match.confidence >= _SURE else "yellow"
    channel = Text(f"{match.channel} ?" if match.question else match.channel, style="yellow" if match.question else "")
    rate = f"{match.rate_hz:.3g} Hz" if match.is_taken else ""
    sure = Text(f"{match.confidence:.0%}", style=style)
    return Text(match.column), channel, Text(match.unit), sure, rate, Text(reason)
