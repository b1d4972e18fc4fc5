"""What was done to a car by hand comes back from the book as it was said."""

from datetime import UTC, datetime
from string import ascii_lowercase

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.report.samples import sample_car

from nextpass.book import Entry, keep_entries
from nextpass.car import ENTRY_KINDS, LedgerEntry
from nextpass.files import car_text
from nextpass.jobs import forget_ledger_entry, keep_ledger_entries, ledger_entries, open_desk

NAMES = st.text(ascii_lowercase, min_size=1, max_size=12)
MOMENTS = st.datetimes(datetime(2020, 1, 1), datetime(2030, 1, 1), timezones=st.just(UTC))
ENTRIES = st.builds(
    LedgerEntry,
    when=MOMENTS,
    kind=st.sampled_from(ENTRY_KINDS),
    item=NAMES,
    values=st.dictionaries(NAMES, st.floats(-1e6, 1e6) | NAMES, max_size=3),
    due_launches=st.none() | st.floats(1, 500),
    due_days=st.none() | st.floats(1, 500),
    codes=st.sampled_from([(), ("P0299",), ("P0171", "P0300")]),
    state=st.sampled_from(["", "before", "after"]),
    notes=NAMES,
)


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    desk = open_desk(tmp_path_factory.mktemp("entries") / "book")
    yield desk
    desk.close()


@pytest.fixture(scope="module")
def kept(desk):
    return desk.add_car(car_text(sample_car()))


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(entry=ENTRIES)
def test_an_entry_comes_back_as_it_was_said_and_once(desk, kept, entry):
    keep_ledger_entries(desk, kept, [entry])
    keep_ledger_entries(desk, kept, [entry])
    (back,) = ledger_entries(desk, kept)
    assert dict(back.values) == dict(entry.values)
    assert sorted(back.codes) == sorted(entry.codes)
    named = ("when", "kind", "item", "due_launches", "due_days", "state", "notes")
    assert [getattr(back, name) for name in named] == [getattr(entry, name) for name in named]
    forget_ledger_entry(desk, kept, back)
    assert ledger_entries(desk, kept) == ()


def test_a_code_that_stands_alone_is_read_as_codes(desk, kept):
    at = datetime(2026, 5, 2, tzinfo=UTC)
    keep_entries(desk.book, kept, [Entry(kind="trouble-code", subject="P0171", at=at, note="cleared twice")])
    (entry,) = ledger_entries(desk, kept)
    assert (entry.kind, entry.item, entry.codes, entry.notes) == ("codes", "P0171", ("P0171",), "cleared twice")
    forget_ledger_entry(desk, kept, entry)
