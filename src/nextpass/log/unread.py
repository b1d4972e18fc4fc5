"""What keeps a part of a file from being read, before the reader of the file adds its place."""


class Unread(ValueError):  # noqa: N818 - what the file is, not a fault
    """Why something cannot be read.

    Parameters
    ----------
    what : str
        What is wrong.
    remedy : str
        What may be done; empty where nothing is known.
    """

    def __init__(self, what: str, remedy: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.remedy = remedy
