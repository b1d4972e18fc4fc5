"""The review of a pass on paper: timeslip, findings, traces, setup, and what the log could not show."""

from nextpass.car import Car
from nextpass.report.picture import DAY, line_svg
from nextpass.report.reader import Reader
from nextpass.report.review_content import review_content
from nextpass.report.typeset import typeset_pdf
from nextpass.review import ReviewedPass

# Of the template's frame, 140 mm by 12 mm, in tenths of a millimetre.
_FRAME = (1400.0, 120.0)


def review_pdf(car: Car, reviewed: ReviewedPass, reader: Reader) -> bytes:
    """Review of one pass as PDF.

    Parameters
    ----------
    car : Car
        Whose pass it is.
    reviewed : ReviewedPass
        With its log.
    reader : Reader
        Language, units and barometer.

    Returns
    -------
    bytes
        A PDF of A4 pages.
    """
    content = review_content(car, reviewed, reader)
    # The lines alone as pictures: text would take the fonts of the machine that compiles.
    lines = [line_svg(panel, DAY.ink, 3.5, _FRAME) for panel in content.traces.panels]
    return typeset_pdf("report.typ", content, reader.language, lines=lines)
