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
from nextpass.words import LANGUAGES, text, translated

# Where a context of the command-line library keeps what --language said, for the group around the command.
LANGUAGE_KEY = "nextpass.language"
LANGUAGE_VARIABLE = "NEXTPASS_LANGUAGE"
REFUSED = 2
FAULT = 1


class EdgeGroup(TyperGroup):
    """Group of commands whose refusals are shown as they stand."""

    def invoke(self, ctx: typer.Context) -> object:  # type: ignore[override]
        """Run the command that was asked for."""
        with edge(ctx):
            return super().invoke(ctx)


@contextmanager
def edge(ctx: typer.Context) -> Iterator[None]:
    """Turn what is raised inside into a message and an exit status."""
    try:
        yield
    except NextpassError as refusal:
        language = _language(ctx)
        print(refusal_line(refusal, language), file=sys.stderr)
        if isinstance(refusal, UnknownFormatError):
            for reader, reason in refusal.refusals:
                said = told(reason, language)
                print(f"  {text('cli.read_as', language, kind=reader, why=said)}", file=sys.stderr)
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


def refusal_line(refusal: NextpassError, language: str) -> str:
    """A refusal as the command line says it.

    Parameters
    ----------
    refusal : NextpassError
    language : str
        One of `LANGUAGES`.
    """
    return f"nextpass: {told(refusal, language)}"


def told(refusal: NextpassError, language: str) -> str:
    """A refusal in one line, in a language."""
    return refusal.told(lambda said: translated(said, language))


def _language(ctx: typer.Context) -> str:
    """What ``--language`` said, also to a command below; else the environment, for commands without the option."""
    asked = str(ctx.meta.get(LANGUAGE_KEY) or os.environ.get(LANGUAGE_VARIABLE))
    return asked if asked in LANGUAGES else "en"


def _is_usage(fault: Exception) -> bool:
    # The command-line library tells the user about a wrong option itself, with status 2.
    return hasattr(fault, "exit_code") and hasattr(fault, "format_message")
