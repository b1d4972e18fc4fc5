"""The outer edge of the command line: a refusal becomes one line and status 2, a fault of ours a note and status 1."""

import os
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager

import typer
from typer.core import TyperGroup

from nextpass import __version__
from nextpass.errors import NextpassError, UnknownFormatError

REFUSED = 2
FAULT = 1


class EdgeGroup(TyperGroup):
    """Group of commands whose refusals are shown as they stand."""

    def invoke(self, ctx: typer.Context) -> object:  # type: ignore[override]
        """Run the command that was asked for."""
        with edge():
            return super().invoke(ctx)


@contextmanager
def edge() -> Iterator[None]:
    """Turn what is raised inside into a message and an exit status."""
    try:
        yield
    except NextpassError as refusal:
        print(f"nextpass: {refusal}", file=sys.stderr)
        if isinstance(refusal, UnknownFormatError):
            for reader, reason in refusal.refusals:
                print(f"  as {reader}: {reason}", file=sys.stderr)
        raise typer.Exit(REFUSED) from refusal
    except BrokenPipeError:
        # The reader of our output has left, as `head` does: nothing is wrong.
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - it must outlive this block
        raise typer.Exit(0) from None
    except KeyboardInterrupt:
        print("nextpass: stopped", file=sys.stderr)
        raise typer.Exit(130) from None
    except (typer.Exit, typer.Abort):
        raise
    except Exception as fault:
        if _is_usage(fault):
            raise
        print(f"nextpass {__version__} failed: this is a fault of the program, not of your files.", file=sys.stderr)
        print(f"  {type(fault).__name__}: {fault}", file=sys.stderr)
        if os.environ.get("NEXTPASS_TRACEBACK"):
            traceback.print_exception(fault, file=sys.stderr)
        else:
            print("  Run it again with NEXTPASS_TRACEBACK=1 and report what it prints.", file=sys.stderr)
        raise typer.Exit(FAULT) from fault


def _is_usage(fault: Exception) -> bool:
    # The command-line library tells the user about a wrong option itself, with status 2.
    return hasattr(fault, "exit_code") and hasattr(fault, "format_message")
