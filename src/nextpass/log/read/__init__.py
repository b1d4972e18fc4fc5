"""One module a file format, all mapped onto the same raw columns."""

from nextpass.log.read.raw import RawColumn, RawLog, RawTable

__all__ = ["RawColumn", "RawLog", "RawTable"]
