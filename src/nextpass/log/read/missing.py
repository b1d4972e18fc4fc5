"""The answer when a format's library is not installed."""

from nextpass.errors import LogError, Where


def missing_library(where: Where, format_name: str, extra: str) -> LogError:
    """Refusal that says what to install."""
    return LogError(
        f"reading {format_name} needs a library that is not installed", where, f'run pip install "nextpass[{extra}]"'
    )
