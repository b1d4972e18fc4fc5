"""Which channel each column is, in which unit, how sure that is and why; and what must be asked."""

from nextpass.log.match.flow import match_columns
from nextpass.log.match.matched import Matched

__all__ = ["Matched", "match_columns"]
