"""One pass with its traces, and many passes on all cores with their outputs only."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from nextpass.sim.kernel import OUTPUTS, ROW_LENGTH, TRACES, drive_rows

FloatArray = NDArray[np.float64]

# Rows that one worker takes at a time: enough to hide the hand-over, few enough to even out.
BLOCK = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One simulated pass.

    Parameters
    ----------
    outputs : Mapping[str, float]
        By the names of `OUTPUTS`; times nan where the pass does not get there.
    time_s : ndarray, shape (n,)
        From the moment at which the driver lets go [s].
    traces : Mapping[str, ndarray], shape (n,) each
        By the names of `TRACES`, up to the finish.
    """

    outputs: dict[str, float]
    time_s: FloatArray
    traces: dict[str, FloatArray]


def drive(packed: FloatArray, rate_hz: float = 100.0, longest_s: float = 30.0) -> Run:
    """One pass with traces.

    Parameters
    ----------
    packed : ndarray, shape (row,)
        From `pack`.
    rate_hz : float
        Rate of the traces [Hz].
    longest_s : float
        Traces end here at the latest [s].

    Returns
    -------
    Run
    """
    traces = np.empty((1, int(longest_s * rate_hz) + 1, len(TRACES)))
    outputs = np.empty((1, len(OUTPUTS)))
    drive_rows(packed.reshape(1, ROW_LENGTH), outputs, traces, 1.0 / rate_hz)
    count = int(np.isfinite(traces[0, :, 0]).sum())
    return Run(
        outputs=dict(zip(OUTPUTS, outputs[0].tolist(), strict=True)),
        time_s=np.arange(count) / rate_hz,
        traces={name: traces[0, :count, i] for i, name in enumerate(TRACES)},
    )


def drive_many(packed_rows: FloatArray) -> FloatArray:
    """Many passes on all cores.

    Parameters
    ----------
    packed_rows : ndarray, shape (m, row)
        From `pack_setups`, or rows of `pack` stacked.

    Returns
    -------
    ndarray, shape (m, len(OUTPUTS))
        Column names in `OUTPUTS`.
    """
    return sample_many(packed_rows, count=0, rate_hz=1.0)[0]


def sample_many(packed_rows: FloatArray, count: int, rate_hz: float) -> tuple[FloatArray, FloatArray]:
    """Many passes on all cores, with their traces on one clock.

    Parameters
    ----------
    packed_rows : ndarray, shape (m, row)
    count : int
        Samples of each trace.
    rate_hz : float
        Their rate [Hz]; the first is at the moment at which the driver lets go.

    Returns
    -------
    outputs : ndarray, shape (m, len(OUTPUTS))
    traces : ndarray, shape (m, count, len(TRACES))
        nan after the finish.
    """
    rows = np.ascontiguousarray(packed_rows, dtype=np.float64)
    outputs = np.empty((rows.shape[0], len(OUTPUTS)))
    traces = np.empty((rows.shape[0], count, len(TRACES)))

    def block(first: int) -> None:
        part = slice(first, first + BLOCK)
        drive_rows(rows[part], outputs[part], traces[part], 1.0 / rate_hz)

    starts = range(0, rows.shape[0], BLOCK)
    if len(starts) == 1 or _cores() == 1:
        for first in starts:
            block(first)
    else:
        list(_workers().map(block, starts))
    return outputs, traces


def compile_kernels(progress: Callable[[str], None] | None = None) -> None:
    """Compile, or load from the cache, what a pass needs: some seconds the first time, then a fraction of one.

    Parameters
    ----------
    progress : callable, optional
        Told in words what is being waited for.
    """
    if progress is not None:
        progress("preparing the simulation (once after installing)")
    row = np.zeros((0, ROW_LENGTH))
    drive_rows(row, np.empty((0, len(OUTPUTS))), np.empty((0, 0, len(TRACES))), 1.0)


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@lru_cache(maxsize=1)
def _workers() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=_cores(), thread_name_prefix="pass")
