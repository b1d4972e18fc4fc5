"""Run the benchmarks: all of them, or those named; `--quick` takes fewer repeats.

python -m benchmarks [--quick] [name ...]
"""

import argparse
import importlib
import sys
from pathlib import Path

from rich.console import Console
from rich.table import Table

from benchmarks.figure import Figure

NAMES = sorted(
    path.stem for path in Path(__file__).parent.glob("*.py") if path.stem not in {"__init__", "__main__", "figure"}
)


def main() -> int:
    """Print every figure beside its floor and its target; give 1 where a target is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer repeats and cases")
    parser.add_argument("names", nargs="*", choices=[[], *NAMES], help="which benchmarks; all without a name")
    asked = parser.parse_args()
    console = Console()
    missed = 0
    for name in asked.names or NAMES:
        console.rule(name.replace("_", " "))
        figures = importlib.import_module(f"benchmarks.{name}").run(quick=asked.quick)
        console.print(_table(figures))
        missed += sum(figure.is_reached is False for figure in figures)
    console.print(f"{missed} figures miss their target" if missed else "every figure meets its target")
    return 1 if missed else 0


def _table(figures: list[Figure]) -> Table:
    table = Table("figure", "value", "floor in the same run", "target", "")
    for figure in figures:
        floor = "" if figure.floor is None else f"{figure.floor_name}: {figure.floor:.4g}"
        verdict = {True: "reached", False: "missed", None: ""}[figure.is_reached]
        table.add_row(figure.name, f"{figure.value:.4g} {figure.unit}", floor, figure.target, verdict)
    return table


if __name__ == "__main__":
    sys.exit(main())
