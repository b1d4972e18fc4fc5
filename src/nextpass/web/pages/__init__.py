"""One file a page; each is a thin call of the program below."""

from nextpass.jobs import Desk
from nextpass.web.pages.bench import add_bench
from nextpass.web.pages.car import add_car
from nextpass.web.pages.codes import add_codes
from nextpass.web.pages.compare import add_compare
from nextpass.web.pages.home import add_home
from nextpass.web.pages.ledger import add_ledger
from nextpass.web.pages.new_car import add_new_car
from nextpass.web.pages.next_pass import add_next_pass
from nextpass.web.pages.one_pass import add_one_pass
from nextpass.web.pages.passes import add_passes
from nextpass.web.pages.today import add_today
from nextpass.web.pages.traces import add_traces
from nextpass.web.staging import Staging

__all__ = ["add_pages"]


def add_pages(desk: Desk, staging: Staging) -> None:
    """Register every page over a desk.

    Parameters
    ----------
    desk : Desk
        With the book open.
    staging : Staging
        Where dropped logs wait.
    """
    add_home(desk)
    add_new_car(desk)
    add_today(desk, staging)
    add_passes(desk)
    add_one_pass(desk)
    add_traces(desk)
    add_next_pass(desk)
    add_compare(desk)
    add_ledger(desk)
    add_codes(desk)
    add_bench(desk, staging)
    add_car(desk)
