"""A test that is made on purpose at rest: how it is made, the place for its log, and what the log shows."""

import asyncio
from functools import partial
from html import escape
from typing import Final, get_args

from nicegui import ui
from nicegui.events import GenericEventArguments

from nextpass.health.guided import IdleBalance, LeakDown, PumpTest
from nextpass.jobs import GuidedKind, guided_kept
from nextpass.measure import Absent, Measured
from nextpass.report import Reader, mark_svg
from nextpass.web.parts.markup import put, sheet
from nextpass.web.staging import Staging
from nextpass.web.visit import Visit
from nextpass.web.waiting import answer_of, show_refusal
from nextpass.words import NO_FIGURE, translated

GUIDED: Final[tuple[GuidedKind, ...]] = get_args(GuidedKind)
_CAUTIONS = {"idle": "running", "pumps": "fuel", "leakdown": "pressure"}
_STEPS = 3


def guided_part(visit: Visit, staging: Staging, kind: GuidedKind) -> None:
    """Draw the test.

    Parameters
    ----------
    visit : Visit
        Of the page.
    staging : Staging
        Where the dropped log waits while it is read.
    kind : GuidedKind
        Which test.
    """
    reader = visit.reader()
    with ui.element("div").classes("columns"):
        with sheet(reader.says("bench.how"), classes="half"):
            steps = "".join(
                f"<li>{escape(reader.says(f'bench.test.{kind}_step{step}'))}</li>" for step in range(1, _STEPS + 1)
            )
            caution = escape(reader.says(f"guided.caution.{_CAUTIONS[kind]}"))
            put(f'<p>{mark_svg("watch")} <b>{caution}</b></p><ol class="plain-list">{steps}</ol>', "stack")
        with sheet(reader.says("bench.log"), classes="half"):
            put(
                f'<label class="drop"><span class="drop-title">{escape(reader.says("bench.drop"))}</span>'
                f'<span class="soft">{escape(reader.says("bring.kinds"))}</span>'
                f'<input type="file" class="unseen" data-address="{escape(visit.api("/logs"))}" '
                'onchange="nextpass.drop(this)"></label><div class="drop-progress" aria-live="polite"></div>'
            )
            outcome = ui.element("div").classes("stack").props("aria-live=polite")

    async def dropped(event: GenericEventArguments) -> None:
        staged = staging.get(str(event.args["dropped"]))
        outcome.clear()
        found = await answer_of(partial(guided_kept, visit.desk, visit.kept, kind, staged.path, staged.name))
        await asyncio.to_thread(staging.leave, staged.token)
        with outcome:
            if isinstance(found, Exception):
                show_refusal(found, reader, staged.name)
            else:
                put(guided_html(found, reader), "stack")

    ui.on("nextpass-dropped", dropped)


def guided_html(found: IdleBalance | PumpTest | LeakDown, reader: Reader) -> str:
    """What the log of a test shows.

    Parameters
    ----------
    found : IdleBalance, PumpTest or LeakDown
        As it was read.
    reader : Reader
        Language.

    Returns
    -------
    str
        Markup: the verdicts, then the figures.
    """
    match found:
        case IdleBalance():
            verdicts, table = found.verdicts, _idle_html(found, reader)
        case PumpTest():
            verdicts, table = found.verdicts, _pumps_html(found, reader)
        case LeakDown():
            verdicts, table = (found.verdict,), _leak_html(found, reader)
    said = "".join(f"<p><b>{escape(translated(line, reader.language))}</b></p>" for line in verdicts)
    return said + table


def _idle_html(found: IdleBalance, reader: Reader) -> str:
    rows = (
        ("idle_rpm", found.idle_rpm, "rpm", 1.0, 0),
        ("roughness_rpm", found.roughness_rpm, "rpm", 1.0, 1),
        ("trim_bank1", found.trim_bank1, "%", 100.0, 2),
        ("trim_bank2", found.trim_bank2, "%", 100.0, 2),
        ("trims_apart", found.trims_apart, "%", 100.0, 2),
    )
    return _table_html([(f"bench.shows.{name}", *rest) for name, *rest in rows], reader)  # type: ignore[misc]


def _leak_html(found: LeakDown, reader: Reader) -> str:
    rows = (
        ("bench.shows.time_constant", found.time_constant_s, "s", 1.0, 1),
        ("bench.shows.lost_in_10s", found.lost_in_10s, "%", 100.0, 1),
    )
    filled = reader.says("bench.shows.filled", pressure=reader.number(found.filled_kpa))
    return f"<p>{escape(filled)}</p>{_table_html(list(rows), reader)}"


def _table_html(rows: list[tuple[str, Measured, str, float, int]], reader: Reader) -> str:
    body = "".join(
        f'<tr><th scope="row" class="left">{escape(reader.says(key))}</th>'
        f"<td>{_shown(value, unit, factor, decimals, reader)}</td></tr>"
        for key, value, unit, factor, decimals in rows
    )
    return f'<table class="table"><tbody>{body}</tbody></table>'


def _pumps_html(found: PumpTest, reader: Reader) -> str:
    came_in = {True: "switch.on", False: "switch.off", None: "bench.shows.unknown"}
    rows = "".join(
        f'<tr><th scope="row" class="left">{escape(reader.says(f"guided.pumps.{stage.channel}"))}</th>'
        f"<td>{_shown(stage.reached_kpa, 'kPa', 1.0, 1, reader)}</td>"
        f"<td>{_shown(stage.build_s, 's', 1.0, 2, reader)}</td>"
        f"<td>{_shown(stage.decay_s, 's', 1.0, 0, reader)}</td>"
        f"<td>{escape(reader.says(came_in[stage.came_in]))}</td></tr>"
        for stage in found.stages
    )
    heads = "".join(
        f'<th scope="col">{escape(reader.says(f"bench.shows.{name}"))}</th>'
        for name in ("reached", "builds_in", "falls_with", "came_in")
    )
    table = f'<table class="table"><thead><tr><th></th>{heads}</tr></thead><tbody>{rows}</tbody></table>'
    return f'<div class="scroll">{table}</div>'


def _shown(measured: Measured, unit: str, factor: float, decimals: int, reader: Reader) -> str:
    if isinstance(measured, Absent):
        return f'{NO_FIGURE} <span class="soft">{escape(translated(measured.reason, reader.language))}</span>'
    value = reader.number(measured.value * factor, decimals)
    return f'<b>{value}</b> <span class="soft">±{reader.number(measured.plus_minus * factor, decimals)} {unit}</span>'
