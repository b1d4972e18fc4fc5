"""Jobs that take their time: run beside the page, with progress, and with refusals shown as they stand."""

import asyncio
import logging
from collections.abc import Callable
from dataclasses import dataclass, replace
from html import escape
from pathlib import Path
from typing import TypeVar

from nicegui import Client, ui

from nextpass.errors import NextpassError
from nextpass.jobs import ProgressReport
from nextpass.report import Reader, mark_svg
from nextpass.words import keys, translated

T = TypeVar("T")
_PROGRESS_EVERY_S = 0.25


@dataclass(slots=True)
class Progress:
    """How far a job is, written by its thread and read by the page."""

    doing: str = ""
    done: float = 0.0

    def report(self, doing: str, done: float) -> None:
        """Note what is being done and the part that is done, 0..1."""
        self.doing, self.done = doing, done


def show_when_done(
    client: Client, reader: Reader, job: Callable[[ProgressReport], T], draw: Callable[[T], object]
) -> None:
    """Run a job beside the page, show its progress here, then draw what it gave in the same place.

    Parameters
    ----------
    client : Client
        Of the page: the wait begins when the browser is there, and ends with it.
    reader : Reader
        For the words.
    job : callable
        Takes a `ProgressReport`; runs in a thread.
    draw : callable
        Takes what the job gave; runs in the page.
    """
    progress = Progress()
    place = ui.element("div").classes("stack")
    with place:
        waiting = ui.html(_waiting_html(reader, progress), sanitize=False)
        clock = ui.timer(_PROGRESS_EVERY_S, lambda: waiting.set_content(_waiting_html(reader, progress)))

    async def work() -> None:
        await client.connected()
        outcome = await answer_of(lambda: job(progress.report))
        if client.id not in Client.instances:
            return
        with place:
            clock.cancel()
            place.clear()
            if isinstance(outcome, Exception):
                show_refusal(outcome, reader)
            else:
                draw(outcome)

    asyncio.get_running_loop().create_task(work())


async def answer_of(job: Callable[[], T]) -> T | Exception:
    """What a job gives, or the refusal that it raises; a fault of ours is logged and given too.

    Parameters
    ----------
    job : callable
        Runs in a thread.

    Returns
    -------
    T or Exception
        For `show_refusal`.
    """
    try:
        return await asyncio.to_thread(job)
    except NextpassError as refusal:
        return refusal
    except Exception as fault:
        # The outer edge: the page shows that it failed, the log says why.
        logging.getLogger("nextpass").exception("a job of a page failed")
        return fault


def show_refusal(refusal: Exception, reader: Reader, file_name: str = "") -> None:
    """Show why something cannot be done: a refusal as it stands, anything else as our fault.

    Parameters
    ----------
    refusal : Exception
        As raised.
    reader : Reader
        For the words.
    file_name : str
        What the visitor calls the file that was read, where the server keeps it under another name.
    """
    if isinstance(refusal, NextpassError):
        what, remedy = _with_place(refusal, reader, file_name), translated(refusal.remedy, reader.language)
    else:
        what, remedy = reader.says("waiting.fault"), reader.says("waiting.fault_remedy")
    ui.html(
        f'<div class="message message-bad" role="alert"><h3>{mark_svg("stop")} {escape(what)}</h3>'
        f"<p>{escape(remedy)}</p></div>",
        sanitize=False,
    )


def _with_place(refusal: NextpassError, reader: Reader, file_name: str) -> str:
    # The visitor knows no path of the server: the name of the file and the line in it are theirs.
    where = refusal.where
    if where.file is None:
        shown = replace(where, key=_field_name(where.key, reader))
    else:
        shown = replace(where, file=file_name or Path(where.file).name)
    what = translated(refusal.what, reader.language)
    return f"{shown}: {what}" if str(shown) else what


def _field_name(key: str | None, reader: Reader) -> str | None:
    """What a page calls the field of an adjuster or a clock; any other key as it stands."""
    name, _, gear = (key or "").partition(".")
    for group in ("adjuster", "clock"):
        if f"{group}.{name}" in keys(reader.language):
            said = reader.says(f"{group}.{name}")
            return f"{said}, {reader.says('gear.nth', gear=gear)}" if gear else said
    return key


def _waiting_html(reader: Reader, progress: Progress) -> str:
    doing = escape(translated(progress.doing, reader.language) or reader.says("waiting.reading"))
    return (
        f'<div class="working" role="status"><span>{doing}</span>'
        f'<progress max="1" value="{progress.done:.3f}" aria-label="{doing}"></progress></div>'
    )
