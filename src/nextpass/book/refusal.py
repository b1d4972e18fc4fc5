"""What a database says when it cannot, in words that help: locked, full, read-only, damaged, not there."""

import shutil

from sqlalchemy.exc import DBAPIError

from nextpass.book.place import Place
from nextpass.errors import BookError, Where
from nextpass.words import phrase

_IO_ERROR = "disk I/O error"
_FULL = (phrase("refusal.book.disk_full"), phrase("refusal.book.room_nothing_lost"))
# With less room than this SQLite cannot map its shared memory, and speaks of an error of the disk.
_LEAST_ROOM_BYTES = 1_000_000
# What a message holds, what it means, what to do: the first that fits.
_MEANINGS = (
    (("database is locked", "lock timeout"), phrase("refusal.book.locked"), phrase("refusal.book.try_again")),
    (("disk is full", "No space left", "could not extend file"), *_FULL),
    (
        ("readonly database", "unable to open database", "permission denied"),
        phrase("refusal.book.unwritable"),
        phrase("refusal.book.check_rights"),
    ),
    (
        ("malformed", "not a database", "no such table", "no such column"),
        phrase("refusal.book.damaged"),
        phrase("refusal.book.from_copy"),
    ),
    ((_IO_ERROR,), phrase("refusal.book.disk_fails"), phrase("refusal.book.check_disk")),
    (
        ("password authentication failed", "no password supplied"),
        phrase("refusal.book.user_refused"),
        phrase("refusal.book.check_user"),
    ),
    (("does not exist",), phrase("refusal.book.no_database"), phrase("refusal.book.createdb")),
    (
        ("connection", "could not translate host name", "server closed"),
        phrase("refusal.book.no_server"),
        phrase("refusal.book.check_server"),
    ),
)


def translated(error: DBAPIError, place: Place) -> BookError:
    """The refusal that a database's own error means."""
    reason = " ".join(str(error.orig).split())
    where = Where(file=place.shown)
    if _IO_ERROR in reason and place.is_file and shutil.disk_usage(place.folder).free < _LEAST_ROOM_BYTES:
        what, remedy = _FULL
        return BookError(what, where, remedy)
    for words, what, remedy in _MEANINGS:
        if any(word in reason for word in words):
            return BookError(what, where, remedy)
    return BookError(
        phrase("refusal.book.database_refuses", reason=reason), where, phrase("refusal.book.copy_and_report")
    )
