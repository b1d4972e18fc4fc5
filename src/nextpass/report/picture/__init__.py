"""Pictures of our own drawing: the ladder, the forecast band and the traces, as fluid HTML and SVG.

Positions are fractions 0..1 of a picture, worked out once; the page draws them as SVG, the PDF in its own language,
because text inside an SVG would take the fonts of whatever machine compiles it.
"""

from pathlib import Path

from nextpass.report.picture.band import BandPicture, BandRow, band_html, forecast_picture
from nextpass.report.picture.ladder import Ladder, LadderRow, ladder_html, ladder_of
from nextpass.report.picture.mark import mark_svg
from nextpass.report.picture.palette import DAY, NIGHT, Palette, contrast, css_variables
from nextpass.report.picture.scale import Scale, scale_over
from nextpass.report.picture.traces import TracePanel, TracePicture, line_svg, trace_picture, traces_html
from nextpass.report.picture.trend import TrendPicture, passes_picture, trend_html, trend_picture

PICTURE_CSS = (Path(__file__).parent / "picture.css").read_text(encoding="utf-8")

__all__ = [
    "DAY",
    "NIGHT",
    "PICTURE_CSS",
    "BandPicture",
    "BandRow",
    "Ladder",
    "LadderRow",
    "Palette",
    "Scale",
    "TracePanel",
    "TracePicture",
    "TrendPicture",
    "band_html",
    "contrast",
    "css_variables",
    "forecast_picture",
    "ladder_html",
    "ladder_of",
    "line_svg",
    "mark_svg",
    "passes_picture",
    "scale_over",
    "trace_picture",
    "traces_html",
    "trend_html",
    "trend_picture",
]
