"""Files that people bring for a log are named for what they are, with what to do instead."""

import io
import zipfile

import pytest

from nextpass.errors import LogError
from nextpass.log import open_log

_LOG = "export the log itself as CSV, MDF 4 or Parquet"
_SHEET = "open it and save the sheet as CSV"
# First bytes by the formats' own published signatures (memory): PDF 1.7, PNG, JPEG, ISO base media, SQLite 3, compound
# files of old offices.
FILES = {
    "report.csv": (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n", f"it is a PDF document, not a log; {_LOG}"),
    "screen.csv": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", f"it is a picture, not a log; {_LOG}"),
    "photo.log": (b"\xff\xd8\xff\xe0\x00\x10JFIF", f"it is a picture, not a log; {_LOG}"),
    "run.csv": (b"\x00\x00\x00\x18ftypmp42\x00\x00", f"it is a film or a picture, not a log; {_LOG}"),
    "app.db": (b"SQLite format 3\x00\x10\x00", f"it is a database, not a log; {_LOG}"),
    "old.xls": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(64), f"it is an office document, not a log; {_SHEET}"),
    "log.csv": (
        b"<!DOCTYPE html>\n<html><body>please sign in</body></html>\n",
        "it is a web page, not a log; download the log itself",
    ),
    "log.json": (b'{"time": [0, 1], "rpm": [900, 910]}', f"it is JSON, not a log; {_LOG}"),
    "track.kml": (b'<?xml version="1.0"?>\n<kml></kml>\n', f"it is XML other than GPX, not a log; {_LOG}"),
}


@pytest.mark.parametrize("name", FILES)
def test_a_file_of_another_kind_is_named(name, tmp_path):
    content, message = FILES[name]
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(LogError) as refusal:
        open_log(path)
    assert str(refusal.value) == f"{path}: {message}"


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ("xl/workbook.xml", f"it is a spreadsheet, not a log; {_SHEET}"),
        ("content.xml", f"it is a spreadsheet, not a log; {_SHEET}"),
        ("word/document.xml", f"it is a text document, not a log; {_LOG}"),
    ],
)
def test_an_office_document_is_no_archive_of_logs(entry, message, tmp_path):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("[Content_Types].xml", "<x/>")
        archive.writestr(entry, "<x/>")
    path = tmp_path / "log.xlsx"
    path.write_bytes(packed.getvalue())
    with pytest.raises(LogError) as refusal:
        open_log(path)
    assert str(refusal.value) == f"{path}: {message}"


def test_a_preamble_in_square_brackets_is_no_json(tmp_path):
    path = tmp_path / "log.csv"
    rows = "\n".join(f"{0.04 * k:.2f},{900 + k % 7}" for k in range(60))
    path.write_text(f"[Header]\n[1]\nTime (s),RPM\n{rows}\n")
    assert open_log(path)["engine_rpm"].values.size == 60
