"""Commands that are imported when they are asked for, and listed without being imported."""

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any, ClassVar

import typer

from nextpass.cli.edge import EdgeGroup

# How every command of the program behaves.
MANNERS: Mapping[str, Any] = {
    "add_completion": False,
    "pretty_exceptions_enable": False,
    "rich_markup_mode": None,
    "context_settings": {"help_option_names": ["-h", "--help"]},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Late:
    """Where a command lies (``module:name`` of a function or of a `typer.Typer`) and its line in the list."""

    module: str
    name: str
    line: str

    def load(self) -> Any:
        """The command, imported, with the manners of the whole program."""
        found = getattr(import_module(self.module), self.name)
        around = typer.Typer(**MANNERS)
        if isinstance(found, typer.Typer):
            around.add_typer(found, name=self.name)
        else:
            around.command(self.name)(found)
        # With a callback the library makes a group even of a single command.
        around.callback()(lambda: None)
        return typer.main.get_command(around).commands[self.name]  # type: ignore[attr-defined]


def late(place: str, line: str) -> Late:
    """A command at ``module:name`` with its line in the list of commands."""
    module, _, name = place.partition(":")
    return Late(module=module, name=name, line=line)


class LateGroup(EdgeGroup):
    """Group whose commands are `late_commands`."""

    late_commands: ClassVar[Mapping[str, Late]] = {}

    def list_commands(self, ctx: typer.Context) -> list[str]:  # type: ignore[override] # noqa: ARG002
        """Names in the order of the table."""
        return list(self.late_commands)

    def get_command(self, ctx: typer.Context, cmd_name: str) -> Any:  # type: ignore[override] # noqa: ARG002
        """Import the command of that name; None where there is none."""
        found = self.late_commands.get(cmd_name)
        return None if found is None else found.load()

    def format_commands(self, ctx: typer.Context, formatter: Any) -> None:  # type: ignore[override] # noqa: ARG002
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, found.line) for name, found in self.late_commands.items()])
