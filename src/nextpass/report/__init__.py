"""Card and report on paper and as one page."""

from nextpass.report.card import CardContent, card_content, card_pdf, card_text, change_text, nearest_guards
from nextpass.report.quantity import Quantity, channel_label, quantity_of
from nextpass.report.reader import Reader, Shown, owner_adjusters
from nextpass.report.typeset import TYPEFACE_FOLDER

__all__ = [
    "TYPEFACE_FOLDER",
    "CardContent",
    "Quantity",
    "Reader",
    "Shown",
    "card_content",
    "card_pdf",
    "card_text",
    "change_text",
    "channel_label",
    "nearest_guards",
    "owner_adjusters",
    "quantity_of",
]
