"""What a database says when it cannot, in words that help: locked, full, read-only, damaged, not there."""

from sqlalchemy.exc import DBAPIError

from nextpass.book.place import Place
from nextpass.errors import BookError, Where

# What a message holds, what it means, what to do: the first that fits.
_MEANINGS = (
    (("database is locked", "lock timeout"), "another program is writing to the book", "try again in a moment"),
    (
        ("disk is full", "No space left", "could not extend file"),
        "the disk is full",
        "make room; nothing of the book was lost",
    ),
    (
        ("readonly database", "unable to open database", "permission denied"),
        "the book cannot be written",
        "check the rights of the folder",
    ),
    (
        ("malformed", "not a database", "no such table", "no such column"),
        "the database is damaged",
        "bring it back from a copy",
    ),
    (("disk I/O error",), "the disk does not take what is written", "check its room and health; nothing was lost"),
    (
        ("password authentication failed", "no password supplied"),
        "the server does not let this user in",
        "check user and password, or a .pgpass file",
    ),
    (("does not exist",), "the server has no such database or user", "make it with createdb, or check the name"),
    (
        ("connection", "could not translate host name", "server closed"),
        "no database server answers there",
        "check its name, its port and that it runs",
    ),
)


def translated(error: DBAPIError, place: Place) -> BookError:
    """The refusal that a database's own error means."""
    reason = " ".join(str(error.orig).split())
    where = Where(file=place.shown)
    for words, what, remedy in _MEANINGS:
        if any(word in reason for word in words):
            return BookError(what, where, remedy)
    return BookError(f"the database refuses: {reason}", where, "keep a copy of the book, then report it")
