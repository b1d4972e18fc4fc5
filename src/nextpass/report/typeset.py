"""Typesetting of PDF: a template of ours, filled with a record, in our own typeface.

The record crosses as JSON, never as markup, so that no name or note of a user can become a command of the template.
"""

import json
import math
from dataclasses import asdict, is_dataclass
from pathlib import Path
from typing import Any, Literal, cast

from nextpass.report.picture import DAY
from nextpass.words import text

_FOLDER = Path(__file__).parent
TYPEFACE_FOLDER = _FOLDER / "typeface"

# Words that the templates themselves set, by the name they use.
_WORDS = {
    "held_by": "ladder.held_by",
    "last": "ladder.key_last",
    "next": "ladder.key_next",
    "closed": "ladder.key_closed",
    "tyre": "ladder.key_tyre",
    "stopped": "caution.stopped",
    "log": "review.log_says",
    "strip": "review.strip_says",
    "slip": "review.slip",
    "windows": "review.windows",
    "level": "review.level",
    "setup": "review.setup",
    "findings": "review.findings",
    "nothing": "finding.none",
    "next_step": "finding.next_step",
    "traces": "review.traces",
    "seconds": "traces.seconds_from_launch",
    "quality": "review.quality",
    "assumed": "review.assumed",
    "runs": "season.runs",
    "runs_note": "season.runs_note",
    "clean": "season.clean",
    "setup_now": "season.setup",
    "due": "ledger.due",
    "none_due": "ledger.nothing_due",
    "is_due": "ledger.is_due",
    "launches_left": "ledger.launches_left",
    "days_left": "ledger.days_left",
    "trends": "ledger.trends",
    "clutch": "ledger.clutch",
    "limits": "ledger.limits",
    "none_passed": "ledger.none_passed",
    "oils": "season.oils",
    "codes": "season.codes",
    "no_codes": "season.no_codes",
    "done": "season.done",
    "cautions": "season.cautions",
    "left_out": "season.left_out",
    "plan": "day.plan",
    "changes": "day.changes",
}


def typeset_pdf(template: str, content: object, language: str, **extra: object) -> bytes:
    """PDF of a template filled with a record.

    Parameters
    ----------
    template : str
        Name of a file beside this one.
    content : dataclass
        What the template reads as ``content``; nan becomes none.
    language : str
        For hyphenation and for the document's own record of its language.
    **extra : object
        Further values by name.

    Returns
    -------
    bytes
        The PDF.
    """
    return _compiled(template, content, language, "pdf", extra)[0]


def typeset_pages(template: str, content: object, language: str, ppi: float = 144.0, **extra: object) -> list[bytes]:
    """The same document as one PNG for each page.

    Parameters
    ----------
    template : str
        Name of a file beside this one.
    content : dataclass
        What the template reads as ``content``.
    language : str
        For hyphenation.
    ppi : float
        Pixels an inch.
    **extra : object
        Further values by name.

    Returns
    -------
    list of bytes
        PNG files in the order of the pages.
    """
    return _compiled(template, content, language, "png", extra, ppi)


def _compiled(
    template: str,
    content: object,
    language: str,
    kind: Literal["pdf", "png"],
    extra: dict[str, object],
    ppi: float = 144.0,
) -> list[bytes]:
    # The compiler is a large library: commands that print no page need not wait for it.
    import typst

    words = {name: text(key, language) for name, key in _WORDS.items()}
    data = {"content": content, "colour": DAY, "language": language, "words": words, **extra}
    made = typst.compile(
        str(_FOLDER / template),
        root=str(_FOLDER),
        font_paths=[str(TYPEFACE_FOLDER)],
        ignore_system_fonts=True,
        format=kind,
        ppi=ppi,
        sys_inputs={"data": json.dumps(_plain(data))},
    )
    # One page comes as bytes, several as a list: the compiler's own types know only the first.
    pages = cast("bytes | list[bytes]", made)
    return pages if isinstance(pages, list) else [pages]


def _plain(value: object) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return _plain(asdict(value))
    if isinstance(value, dict):
        return {name: _plain(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    # JSON has no nan: the templates read none as "nothing to draw".
    return None if isinstance(value, float) and not math.isfinite(value) else value
