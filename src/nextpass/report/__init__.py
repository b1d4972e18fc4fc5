"""Card and report on paper and as one page."""

from nextpass.report.card import CardContent, card_content, card_pdf, card_png, card_text, change_text, nearest_guards
from nextpass.report.comparing import comparison_lines, gain_text, group_text, verdict_text
from nextpass.report.document import typeface_css
from nextpass.report.evidence import evidence_shown
from nextpass.report.markup import finding_html, slip_html
from nextpass.report.page import day_page, past_ets, review_page
from nextpass.report.picture import (
    DAY,
    NIGHT,
    PICTURE_CSS,
    Palette,
    Scale,
    band_html,
    contrast,
    css_variables,
    forecast_picture,
    ladder_html,
    ladder_of,
    mark_svg,
    scale_over,
    trend_html,
    trend_picture,
)
from nextpass.report.quantity import Quantity, channel_label, quantity_of
from nextpass.report.reader import STANDARD_BAROMETER_KPA, Reader, Shown, owner_adjusters
from nextpass.report.report import day_pdf, review_pdf
from nextpass.report.review_content import (
    STRIP_CLOCKS,
    WINDOWS,
    FindingContent,
    by_weight,
    conditions_text,
    finding_content,
    pass_title,
    review_content,
    slip_rows,
    when_text,
)
from nextpass.report.runs import RunPass
from nextpass.report.season import drift_text, learned_text
from nextpass.report.season_content import Season
from nextpass.report.season_page import season_page
from nextpass.report.season_report import season_pdf
from nextpass.report.typeset import TYPEFACE_FOLDER

__all__ = [
    "DAY",
    "NIGHT",
    "PICTURE_CSS",
    "STANDARD_BAROMETER_KPA",
    "STRIP_CLOCKS",
    "TYPEFACE_FOLDER",
    "WINDOWS",
    "CardContent",
    "FindingContent",
    "Palette",
    "Quantity",
    "Reader",
    "RunPass",
    "Scale",
    "Season",
    "Shown",
    "band_html",
    "by_weight",
    "card_content",
    "card_pdf",
    "card_png",
    "card_text",
    "change_text",
    "channel_label",
    "comparison_lines",
    "conditions_text",
    "contrast",
    "css_variables",
    "day_page",
    "day_pdf",
    "drift_text",
    "evidence_shown",
    "finding_content",
    "finding_html",
    "forecast_picture",
    "gain_text",
    "group_text",
    "ladder_html",
    "ladder_of",
    "learned_text",
    "mark_svg",
    "nearest_guards",
    "owner_adjusters",
    "pass_title",
    "past_ets",
    "quantity_of",
    "review_content",
    "review_page",
    "review_pdf",
    "scale_over",
    "season_page",
    "season_pdf",
    "slip_html",
    "slip_rows",
    "trend_html",
    "trend_picture",
    "typeface_css",
    "verdict_text",
    "when_text",
]
