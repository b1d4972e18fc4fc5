"""Logs that were dropped and are not yet a pass: kept on disk for a while, known by a name that cannot be guessed."""

import secrets
import shutil
import tempfile
import time
from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path

from nextpass.errors import FileError
from nextpass.jobs import safe_name
from nextpass.words import phrase

# A log that nobody came back for is thrown away after this time.
_KEPT_S = 3600.0
_MOST_AT_ONCE = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Staged:
    """One dropped log."""

    token: str
    name: str
    path: Path
    arrived_s: float


class Staging:
    """The dropped logs of one running server."""

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="nextpass-dropped-"))
        self._staged: dict[str, Staged] = {}

    async def take(self, name: str, pieces: AsyncIterator[bytes]) -> Staged:
        """Write a log as it arrives.

        Raises
        ------
        FileError
            Too many wait already, or the disk is full.
        """
        self._forget_old()
        if len(self._staged) >= _MOST_AT_ONCE:
            raise FileError(
                phrase("refusal.web.logs_wait", count=_MOST_AT_ONCE), remedy=phrase("refusal.web.keep_or_leave")
            )
        token = secrets.token_urlsafe(18)
        # The file's own name is the token: what a stranger calls it never reaches the disk.
        path = self._folder / f"{token}{Path(safe_name(name)).suffix}"
        try:
            with path.open("wb") as file:
                async for piece in pieces:
                    file.write(piece)
        except OSError as error:
            path.unlink(missing_ok=True)
            raise FileError(
                phrase("refusal.web.log_unkept", why=error.strerror), remedy=phrase("refusal.web.free_space")
            ) from error
        except BaseException:
            path.unlink(missing_ok=True)
            raise
        staged = Staged(token=token, name=safe_name(name), path=path, arrived_s=time.monotonic())
        self._staged[token] = staged
        return staged

    def get(self, token: str) -> Staged:
        """A dropped log by its token.

        Raises
        ------
        FileError
            There is none, or it was thrown away.
        """
        staged = self._staged.get(token)
        if staged is None:
            raise FileError(phrase("refusal.web.log_gone"), remedy=phrase("refusal.web.drop_again"))
        return staged

    def leave(self, token: str) -> None:
        """Throw a dropped log away; nothing happens where it is gone."""
        staged = self._staged.pop(token, None)
        if staged is not None:
            staged.path.unlink(missing_ok=True)

    def clear(self) -> None:
        """Throw all of them away, with their folder."""
        self._staged.clear()
        shutil.rmtree(self._folder, ignore_errors=True)

    def _forget_old(self) -> None:
        oldest_s = time.monotonic() - _KEPT_S
        for token in [token for token, staged in self._staged.items() if staged.arrived_s < oldest_s]:
            self.leave(token)
