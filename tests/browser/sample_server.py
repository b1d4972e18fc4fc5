"""Pages over a book whose plans are ready-made: ``python -m tests.browser.sample_server BOOK PORT``."""

import sys

from tests.web.sample_book import SampleDesk

from nextpass.book import open_book
from nextpass.web import serve_desk

desk = SampleDesk(open_book(sys.argv[1]))
try:
    serve_desk(desk, port=int(sys.argv[2]))
finally:
    desk.close()
