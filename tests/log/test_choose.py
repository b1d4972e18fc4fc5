"""Which reader takes a file, and what is said where none does."""

import pytest
from tests.log.pull import pull

from nextpass.errors import LogError, UnknownFormatError
from nextpass.log import open_log


def table_text() -> str:
    values = pull(5.0)
    rows = (f"{at:.3f},{rpm:.1f}" for at, rpm in zip(values["time_s"], values["engine_rpm"], strict=True))
    return "\n".join(["Time (s),Engine Speed (rpm)", *rows])


def test_a_table_under_the_name_of_a_trace_is_still_a_table(tmp_path):
    (tmp_path / "car.dbc").write_text('VERSION ""\nBS_:\nBU_: A\n')
    path = tmp_path / "log.asc"
    path.write_text(table_text())
    assert open_log(path)["engine_rpm"].values.size == 130


def test_where_several_readers_refuse_each_reason_is_kept(tmp_path):
    path = tmp_path / "letter.asc"
    path.write_text("Dear colleague,\nthe log is lost.\n" * 4)
    with pytest.raises(UnknownFormatError) as refusal:
        open_log(path)
    assert str(refusal.value) == (
        f"{path}: no reader takes it (as CAN trace CAN frames need their database, and there is no .dbc beside it; "
        "as text table no delimiter cuts its lines into columns); put it there as letter.dbc"
    )
    assert [name for name, _ in refusal.value.refusals] == ["CAN trace", "text table"]


def test_a_file_that_is_not_there_is_refused(tmp_path):
    path = tmp_path / "missing.csv"
    with pytest.raises(LogError) as refusal:
        open_log(path)
    assert str(refusal.value) == f"{path}: it cannot be opened (No such file or directory); check the path"


def test_a_folder_is_refused(tmp_path):
    with pytest.raises(LogError) as refusal:
        open_log(tmp_path)
    assert str(refusal.value) == f"{tmp_path}: it is a folder, not a log; name the file in it"


def test_a_damaged_archive_is_refused(tmp_path):
    path = tmp_path / "picture.zip"
    path.write_bytes(b"PK\x03\x04" + b"\x00" * 40)
    with pytest.raises(LogError) as refusal:
        open_log(path)
    assert str(refusal.value) == (
        f"{path}: the zip archive is damaged or cut off (File is not a zip file); copy it again"
    )
