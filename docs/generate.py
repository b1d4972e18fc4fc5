"""Make the pages of `docs/` that follow from the code, or check that they are in step with it.

python -m docs.generate            write them
python -m docs.generate --check    say which are out of step, with status 1
"""

import argparse
import inspect
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import typer

from nextpass.car.defaults import DEFAULTS
from nextpass.cli.main import app
from nextpass.files.car_keys import CAR_TABLES
from nextpass.files.pass_keys import PASS_TABLES
from nextpass.log import vocabulary
from nextpass.review import finding_codes
from nextpass.review.findings.thresholds import TABLE
from nextpass.words import text

FOLDER = Path(__file__).parent
# A bar inside a cell of a table.
BAR = r"\|"
NOTE = "Made by `make docs` from the code; do not edit."


def main() -> int:
    """Write the pages, or compare them."""
    parser = argparse.ArgumentParser(description=inspect.cleandoc(__doc__ or ""))
    parser.add_argument("--check", action="store_true", help="compare instead of writing")
    is_check = parser.parse_args().check
    stale = []
    for name, page in PAGES.items():
        path, content = FOLDER / name, page()
        if is_check and (not path.exists() or path.read_text(encoding="utf-8") != content):
            stale.append(name)
        if not is_check:
            path.write_text(content, encoding="utf-8")
    if stale:
        print(f"out of step with the code: {', '.join(stale)}; run make docs", file=sys.stderr)
    return 1 if stale else 0


def commands_page() -> str:
    """Every command with its help."""
    lines = ["# Commands", "", NOTE, ""]
    for path, command in _commands(typer.main.get_command(app), ("nextpass",)):
        context = command.make_context(" ".join(path), [], resilient_parsing=True, terminal_width=100)
        lines += [f"## {' '.join(path)}", "", "```", context.get_help().rstrip(), "```", ""]
    return "\n".join(lines)


def _commands(command: Any, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Any]]:
    yield path, command
    if hasattr(command, "list_commands"):
        context = command.make_context(" ".join(path), [], resilient_parsing=True)
        for name in command.list_commands(context):
            yield from _commands(command.get_command(context, name), (*path, name))


def files_page() -> str:
    """Every key of a car file and a pass file, with its range and default."""
    lines = ["# Car and pass files", "", NOTE, ""]
    for title, tables in (("car.toml", CAR_TABLES), ("pass.toml", PASS_TABLES)):
        lines += [f"## {title}", ""]
        for table in tables:
            rows = [
                (
                    f"`{key.name}`",
                    key.meaning,
                    _range(key.low, key.high),
                    _default(f"{table.name}.{key.name}", is_required=key.required),
                )
                for key in table.keys
            ]
            lines += [f"### [{table.name}]", "", table.meaning, "", *_table(("key", "meaning", "range", ""), rows), ""]
    lines += ["## Assumed values", "", "What stands in where a car file leaves a value open.", ""]
    rows = [(f"`{key}`", default.shown, str(default.origin)) for key, default in DEFAULTS.items()]
    lines += [*_table(("key", "value", "origin"), rows), ""]
    return "\n".join(lines)


def _range(low: float, high: float) -> str:
    if low == float("-inf") and high == float("inf"):
        return ""
    return f"{low:g} to {high:g}"


def _default(path: str, *, is_required: bool) -> str:
    if path in DEFAULTS:
        return f"assumed {DEFAULTS[path].shown}"
    return "required" if is_required else "optional"


def channels_page() -> str:
    """Every channel that a column can be taken for."""
    lines = ["# Channels", "", NOTE, ""]
    rows = [
        (f"`{kind.name}`", kind.meaning, f"{kind.plausible[0]:g} to {kind.plausible[1]:g}", ", ".join(kind.aliases))
        for kind in vocabulary().channels.values()
    ]
    lines += [*_table(("channel", "meaning", "plausible", "names in logs"), rows), ""]
    return "\n".join(lines)


def findings_page() -> str:
    """Every finding with its meaning, and the thresholds that a car file can change."""
    lines = ["# Findings", "", NOTE, "", "Braces stand for the figures of the pass.", ""]
    rows = [
        (f"`{code}`", *(text(f"finding.{code}.{part}") for part in ("title", "meaning", "next_step")))
        for code in finding_codes()
    ]
    lines += [*_table(("code", "title", "meaning", "next step"), rows), ""]
    lines += ["## Thresholds", "", "A car file changes one under `[thresholds]` by its name.", ""]
    rows = [(f"`{one.name}`", f"{one.value:g}", one.unit, one.origin) for one in TABLE]
    lines += [*_table(("name", "value", "unit", "origin"), rows), ""]
    return "\n".join(lines)


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    yield f"| {' | '.join(head)} |"
    yield f"|{'---|' * len(head)}"
    for row in rows:
        yield f"| {' | '.join(cell.replace('|', BAR) for cell in row)} |"


PAGES: Mapping[str, Callable[[], str]] = {
    "commands.md": commands_page,
    "files.md": files_page,
    "channels.md": channels_page,
    "findings.md": findings_page,
}

if __name__ == "__main__":
    sys.exit(main())
