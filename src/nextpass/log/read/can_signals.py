"""Signals out of the bytes of CAN frames, all frames of one message at once.

References
----------
Bit numbering of the .dbc file: bit k is bit ``k % 8`` of byte ``k // 8``. An Intel signal starts at its lowest bit and
rises; a Motorola signal starts at its highest bit and falls through each byte, then goes on at the top of the next
(common practice). Held against cantools, frame by frame, in the tests.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.log.channel import FloatArray
from nextpass.log.read.cells import word_value
from nextpass.log.read.table_shape import BLANKS

# Words of a value table for "no value", besides those of text tables.
_NO_VALUE = ("not available", "notavailable", "snv", "sna", "invalid", "error", "init", "undefined", "fault")


def bit_places(start: int, length: int, *, is_intel: bool) -> NDArray[np.int64]:
    """Places of a signal's bits in a payload, lowest bit first."""
    if is_intel:
        return np.arange(start, start + length)
    places = [start]
    while len(places) < length:
        last = places[-1]
        places.append(last + 15 if last % 8 == 0 else last - 1)
    return np.array(places[::-1])


def raw_numbers(data: NDArray[np.uint8], signal: Any) -> FloatArray:
    """Numbers of one signal before scaling.

    Parameters
    ----------
    data : ndarray of uint8, shape (n, length)
    signal : cantools signal
        With start, length, byte_order, is_signed, is_float.
    """
    bits = np.unpackbits(data, axis=1, bitorder="little")
    places = bit_places(signal.start, signal.length, is_intel=signal.byte_order == "little_endian")
    taken = bits[:, places].astype(np.uint64)
    words = (taken << np.arange(signal.length, dtype=np.uint64)).sum(axis=1, dtype=np.uint64)
    if signal.is_float:
        kinds = {16: (np.uint16, np.float16), 32: (np.uint32, np.float32), 64: (np.uint64, np.float64)}
        whole, real = kinds[signal.length]
        # A signalling nan warns when it is widened, and stays nan.
        with np.errstate(invalid="ignore"):
            return np.asarray(words.astype(whole).view(real), dtype=np.float64)
    if signal.is_signed:
        shift = np.uint64(64 - signal.length)
        return np.asarray((words << shift).view(np.int64) >> np.int64(64 - signal.length), dtype=np.float64)
    return np.asarray(words, dtype=np.float64)


def physical_values(data: NDArray[np.uint8], signal: Any) -> FloatArray:
    """Values of one signal in its own unit; nan where its value table says that there is none."""
    raw = raw_numbers(data, signal)
    values = raw * float(signal.scale) + float(signal.offset)
    choices = {int(number): str(word) for number, word in (signal.choices or {}).items()}
    if not choices:
        return values
    meanings = {number: word_value(word) for number, word in choices.items()}
    speaks = all(meaning is not None for meaning in meanings.values())
    for number, word in choices.items():
        if _is_no_value(word):
            values[raw == number] = np.nan
        elif speaks:
            values[raw == number] = meanings[number]
    return values


def _is_no_value(word: str) -> bool:
    plain = word.strip().lower().replace("_", " ")
    return plain in BLANKS or plain.startswith(_NO_VALUE)
