"""Pages over a book whose plans are ready-made: ``python -m tests.browser.sample_server BOOK PORT``."""

import sys

from tests.web.sample_book import SampleDesk
from tests.web.sample_season import sample_comparison

from nextpass.book import open_book
from nextpass.web import serve_desk
from nextpass.web.pages import compare

# The page is judged here, not the fit that a comparison begins with.
compare.compare_kept = lambda _desk, _kept, _asked, _report: sample_comparison()
desk = SampleDesk(open_book(sys.argv[1]))
try:
    serve_desk(desk, port=int(sys.argv[2]))
finally:
    desk.close()
