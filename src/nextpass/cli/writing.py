"""Files that a command was asked to write."""

from pathlib import Path

from rich.console import Console
from rich.text import Text

from nextpass.errors import FileError
from nextpass.files import write_whole


def write_asked(path: Path, content: str | bytes) -> None:
    """Write what the user asked for by name, in place of an older one, and say so on standard error."""
    write_whole(path, content, replace=True, refusal=FileError)
    Console(stderr=True).print(Text(f"wrote {path}"))
