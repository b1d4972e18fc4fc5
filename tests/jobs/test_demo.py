"""The demo does the whole job and leaves a book behind; it never deletes what it did not make."""

import pytest

from nextpass.errors import FileError
from nextpass.jobs import open_desk, run_demo
from nextpass.units import ShownUnits

pytestmark = pytest.mark.xdist_group("commands")


def test_the_demo_leaves_its_four_passes_in_a_book(tmp_path):
    done = run_demo(tmp_path / "book", ShownUnits())
    desk = open_desk(done.book)
    (kept,) = desk.cars()
    assert [one.number for one in desk.passes(kept)] == [1, 2, 3, 4]
    desk.close()
    assert done.card.read_bytes().startswith(b"%PDF")
    assert done.planned_pass.record.setup == done.plan.setup
    assert all(guard.ok for guard in done.plan.guards)


def test_the_demo_refuses_a_folder_that_it_did_not_make(tmp_path):
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "thesis.txt").write_text("years of work")
    with pytest.raises(FileError) as refusal:
        run_demo(mine, ShownUnits())
    assert str(refusal.value) == (
        f"{mine}: the folder holds something else than an earlier demo; name another with --book"
    )
    assert (mine / "thesis.txt").read_text() == "years of work"
