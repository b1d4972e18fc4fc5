"""Codes: what the trouble codes of the car mean, and what its logs say for and against each cause."""

import asyncio
from collections.abc import Sequence
from datetime import datetime
from functools import partial
from html import escape

from fastapi import Request
from nicegui import ui

from nextpass.car import LedgerEntry
from nextpass.health import CodeStates, WeighedCodes
from nextpass.jobs import Desk, KeptPass, codes_in, keep_ledger_entries, ledger_entries, weigh_kept
from nextpass.obd import TroubleCode
from nextpass.web.finding_cars import check_passes
from nextpass.web.parts.ask import ask_box, ask_html, ask_lines
from nextpass.web.parts.codes import causes_html, cautions_html, read_codes_html, states_html
from nextpass.web.parts.markup import button, link, put, sheet
from nextpass.web.query import numbers_in, pass_namer
from nextpass.web.visit import Visit, add_car_page
from nextpass.web.waiting import answer_of, show_refusal, show_when_done

# The newest passes can be ticked; older ones are reached by their counts in the address.
_SHOWN_PASSES = 5


def add_codes(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """
    add_car_page(desk, "/codes", "codes", _content)


async def _content(visit: Visit, request: Request) -> None:
    put(f"<h1>{escape(visit.says('codes.title'))}</h1><p>{escape(visit.says('codes_page.hint'))}</p>", "title")
    passes = await asyncio.to_thread(visit.desk.passes, visit.kept)
    given = {name: request.query_params.get(name, "") for name in ("codes", "before")}
    is_asked = any(text.strip() for text in given.values())
    chosen = numbers_in(request, "with") if is_asked else tuple(one.sequence for one in passes[-1:])
    check_passes(visit.desk, visit.kept, chosen)
    with ui.element("div").classes("columns"):
        answer = ui.element("div").classes("wide stack-wide")
        with ui.element("div").classes("narrow stack-wide"):
            with sheet(visit.says("codes_page.which")):
                put(_form_html(visit, given, passes[-_SHOWN_PASSES:], chosen))
            _kept(visit)
    with answer:
        if not is_asked:
            put(f"<p>{escape(visit.says('codes_page.none'))}</p>", "sheet")
            return
        now, stood = (codes_in([text]) if text.strip() else () for text in (given["codes"], given["before"]))
        job = partial(weigh_kept, visit.desk, visit.kept, now, stood, chosen)
        show_when_done(visit.client, visit.reader(), job, lambda made: _draw(visit, now, *made))


def _form_html(visit: Visit, given: dict[str, str], shown: Sequence[KeptPass], chosen: Sequence[int]) -> str:
    boxes = "".join(
        ask_box(
            "with",
            str(one.sequence),
            visit.says("pass.title", number=one.number if one.number is not None else one.sequence),
            one.sequence in chosen,
        )
        for one in reversed(shown)
    )
    legend = escape(visit.says("codes_page.with"))
    fields = [
        ask_lines(visit.says("codes_page.codes"), "codes", given["codes"], visit.says("codes_page.codes_note")),
        f'<fieldset class="boxes"><legend>{legend}</legend>{boxes}</fieldset>' if boxes else "",
        f"<details><summary>{escape(visit.says('codes_page.before'))}</summary>"
        f"{ask_lines(visit.says('codes_page.before_codes'), 'before', given['before'])}</details>",
    ]
    return ask_html(visit.path("/codes"), fields, visit.says("codes_page.read"))


def _draw(visit: Visit, now: Sequence[TroubleCode], weighed: WeighedCodes, states: CodeStates | None) -> None:
    reader = visit.reader()
    with ui.element("div").classes("stack-wide"):
        with sheet(reader.says("codes.title")):
            put(read_codes_html(weighed.codes, reader))
            if states is not None:
                put(states_html(states, reader))
            _keep(visit, now)
        if weighed.causes:
            with sheet(reader.says("codes.causes")):
                put(causes_html(weighed, reader, pass_namer(visit)))
        if weighed.cautions:
            put(cautions_html(weighed.cautions, reader), "caution")


def _keep(visit: Visit, now: Sequence[TroubleCode]) -> None:
    outcome = ui.element("div").props("aria-live=polite")

    async def keep(state: str, _event: object) -> None:
        outcome.clear()
        entry = LedgerEntry(
            when=datetime.now().astimezone().replace(microsecond=0),
            kind="codes",
            item=visit.says("codes_page.read_out"),
            values={},
            codes=tuple(str(code) for code in now),
            state=state,
        )
        answer = await answer_of(lambda: keep_ledger_entries(visit.desk, visit.kept, [entry]))
        with outcome:
            if isinstance(answer, Exception):
                show_refusal(answer, visit.reader())
            else:
                put(f'<p class="message" role="status">{escape(visit.says("codes_page.kept"))}</p>')

    if now:
        with ui.element("div").classes("row"):
            for state in ("before", "after"):
                button(visit.says(f"codes_page.keep_{state}"), partial(keep, state))


def _kept(visit: Visit) -> None:
    read = [entry for entry in ledger_entries(visit.desk, visit.kept) if entry.codes]
    if not read:
        return
    with sheet(visit.says("codes_page.earlier")):
        lines = []
        for entry in reversed(read[-10:]):
            codes = "+".join(entry.codes)
            state = visit.says(f"compare.{entry.state}") if entry.state else ""
            about = escape(" · ".join(part for part in (f"{entry.when:%Y-%m-%d}", state) if part))
            opened = link(", ".join(entry.codes), visit.path(f"/codes?codes={codes}"), "plain")
            lines.append(f'<li>{opened} <span class="soft">{about}</span></li>')
        put(f'<ul class="plain-list">{"".join(lines)}</ul>')
