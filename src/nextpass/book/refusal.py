"""What a database says when it cannot, in words that help: locked, full, read-only, damaged, not there."""

from sqlalchemy.exc import DBAPIError

from nextpass.book.place import Place
from nextpass.errors import BookError, Where
from nextpass.words import phrase

# What a message holds, what it means, what to do: the first that fits.
_MEANINGS = (
    (("database is locked", "lock timeout"), phrase("refusal.book.locked"), phrase("refusal.book.try_again")),
    (
        ("disk is full", "No space left", "could not extend file"),
        phrase("refusal.book.disk_full"),
        phrase("refusal.book.room_nothing_lost"),
    ),
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
    (("disk I/O error",), phrase("refusal.book.disk_fails"), phrase("refusal.book.check_disk")),
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
    for words, what, remedy in _MEANINGS:
        if any(word in reason for word in words):
            return BookError(what, where, remedy)
    return BookError(
        phrase("refusal.book.database_refuses", reason=reason), where, phrase("refusal.book.copy_and_report")
    )
