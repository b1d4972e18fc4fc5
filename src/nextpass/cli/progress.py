"""Progress on standard error for anything that takes over a second."""

from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from nextpass.jobs import ProgressReport


@contextmanager
def progress_bar(title: str) -> Iterator[ProgressReport]:
    """Show a bar while the block runs; the block reports what it does and which part (0..1) is done."""
    console = Console(stderr=True)
    with Progress(
        TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn(), console=console, transient=True
    ) as bar:
        task = bar.add_task(title, total=1.0)

        def report(doing: str, done: float) -> None:
            bar.update(task, description=doing, completed=done)

        yield report
