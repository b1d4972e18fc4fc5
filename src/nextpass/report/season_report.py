"""The report of a whole car on paper."""

from nextpass.report.reader import Reader
from nextpass.report.season_content import Season, season_content
from nextpass.report.typeset import typeset_pdf


def season_pdf(season: Season, reader: Reader) -> bytes:
    """Report of a car as PDF.

    Parameters
    ----------
    season : Season
        With one pass at least.
    reader : Reader
        Language, units and barometer.

    Returns
    -------
    bytes
        A PDF of A4 pages.
    """
    return typeset_pdf("season.typ", season_content(season, reader), reader.language)
