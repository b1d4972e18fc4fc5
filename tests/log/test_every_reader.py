"""One suite over every reader of columns: the same pull, written in each format, comes back the same."""

import gzip
import zipfile
from abc import ABC, abstractmethod
from collections.abc import Sequence
from pathlib import Path

import cantools
import numpy as np
import polars as pl
import pyarrow as pa
import pyarrow.feather
import pytest
from tests.log.pull import HINTS, pull

from nextpass.errors import LogError
from nextpass.log import Log, open_log

DBC = Path(__file__).parent / "pull.dbc"
# column: (canonical channel, factor from the canonical value, unit)
COLUMNS = {
    "Engine Speed": ("engine_rpm", 1.0, "rpm"),
    "Vehicle Speed": ("vehicle_speed_mps", 3.6, "km/h"),
    "Manifold Pressure": ("manifold_pressure_kpa", 1.0, "kPa"),
    "Throttle Position": ("throttle", 100.0, "%"),
    "Gear": ("gear", 1.0, ""),
    "Lambda": ("lambda_bank1", 1.0, ""),
    "Coolant Temperature": ("coolant_temperature_c", 1.0, "degC"),
}


def read_or_refused(path: Path) -> Log | str:
    """The log, or the message of its refusal; anything else that is raised is a fault."""
    try:
        return open_log(path, HINTS)
    except LogError as refusal:
        return str(refusal)


def columns() -> dict[str, tuple[np.ndarray, str]]:
    """Readings and unit of each column, in the unit that is written."""
    values = pull()
    return {name: (values[channel] * factor, unit) for name, (channel, factor, unit) in COLUMNS.items()}


class ReaderSuite(ABC):
    """What every reader must do; a subclass says how the pull is written in its format."""

    suffix: str
    # Largest error that the format's own rounding explains, as a share of a channel's span.
    rounding = 1e-9

    @abstractmethod
    def write(self, path: Path, times: np.ndarray, table: dict[str, tuple[np.ndarray, str]]) -> None:
        """Write the table to a file."""

    @pytest.fixture
    def path(self, tmp_path: Path) -> Path:
        path = tmp_path / f"log{self.suffix}"
        self.write(path, pull()["time_s"], columns())
        return path

    def check(self, path: Path) -> None:
        log = open_log(path, HINTS)
        expected = pull()
        assert not log.questions
        for name, (channel, _, _) in COLUMNS.items():
            read = log[channel]
            assert read.source == name.replace(" ", self.blank)
            np.testing.assert_allclose(read.time_s, expected["time_s"], atol=2e-6)
            span = float(np.ptp(expected[channel]))
            np.testing.assert_allclose(read.values, expected[channel], rtol=0, atol=self.rounding * span)

    blank = " "

    def test_the_pull_comes_back_as_it_was_written(self, path):
        self.check(path)

    def test_the_rate_is_that_of_the_rows(self, path):
        assert open_log(path, HINTS).quality.rate_hz == pytest.approx(25.0, rel=1e-3)

    def test_a_dropout_is_named_and_not_filled(self, tmp_path):
        times = pull()["time_s"]
        keep = (times < 12.0) | (times > 13.5)
        path = tmp_path / f"log{self.suffix}"
        self.write(path, times[keep], {name: (values[keep], unit) for name, (values, unit) in columns().items()})
        log = open_log(path, HINTS)
        assert [(round(gap.start_s, 2), round(gap.end_s, 2)) for gap in log.quality.gaps] == [(11.96, 13.52)]
        assert np.isnan(log["engine_rpm"].at(np.array([12.7]))).all()

    def test_it_reads_through_gzip_and_zip(self, path, tmp_path):
        packed = path.with_name(path.name + ".gz")
        packed.write_bytes(gzip.compress(path.read_bytes()))
        self.check(packed)
        zipped = path.with_name("log.zip")
        with zipfile.ZipFile(zipped, "w") as archive:
            archive.write(path, path.name)
        self.check(zipped)

    @pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9, 0.999])
    def test_a_file_that_was_cut_is_read_or_refused(self, path, share):
        data = path.read_bytes()
        path.write_bytes(data[: int(share * len(data))])
        answer = read_or_refused(path)
        if isinstance(answer, str):
            assert "\n" not in answer
        else:
            assert all((np.diff(channel.time_s) > 0).all() for channel in answer.channels.values())


class TestTextTable(ReaderSuite):
    suffix = ".csv"

    def write(self, path, times, table):
        header = ",".join(["Time (s)", *(f"{name} ({unit})" if unit else name for name, (_, unit) in table.items())])
        rows = zip(times, *(values for values, _ in table.values()), strict=True)
        path.write_text("\n".join([header, *(",".join(repr(float(cell)) for cell in row) for row in rows)]))

    def check(self, path):
        log = open_log(path, HINTS)
        expected = pull()
        for channel, _, _ in COLUMNS.values():
            np.testing.assert_allclose(log[channel].values, expected[channel], rtol=1e-12, atol=1e-12)


class TestMdf(ReaderSuite):
    suffix = ".mf4"

    def write(self, path, times, table):
        asammdf = pytest.importorskip("asammdf")
        with asammdf.MDF(version="4.10") as file:
            signals = [asammdf.Signal(values, times, name=name, unit=unit) for name, (values, unit) in table.items()]
            file.append(signals)
            file.save(path, overwrite=True)


class TestMdfCompressed(TestMdf):
    def write(self, path, times, table):
        asammdf = pytest.importorskip("asammdf")
        with asammdf.MDF(version="4.10") as file:
            for name, (values, unit) in table.items():
                file.append([asammdf.Signal(values, times, name=name, unit=unit)])
            file.save(path, overwrite=True, compression=2)


class TestParquet(ReaderSuite):
    suffix = ".parquet"

    def write(self, path, times, table):
        frame = {"time_s": times, **{f"{name} ({unit})" if unit else name: v for name, (v, unit) in table.items()}}
        pl.DataFrame(frame).write_parquet(path)

    def check(self, path):
        log = open_log(path, HINTS)
        expected = pull()
        for channel, _, _ in COLUMNS.values():
            np.testing.assert_allclose(log[channel].values, expected[channel], rtol=1e-12, atol=1e-12)


class TestArrow(ReaderSuite):
    suffix = ".arrow"

    def write(self, path, times, table):
        fields = [pa.field("Time", pa.float64(), metadata={"unit": "s"})]
        fields += [pa.field(name, pa.float64(), metadata={"unit": unit}) for name, (_, unit) in table.items()]
        arrays = [times, *(values for values, _ in table.values())]
        pa.feather.write_feather(pa.table(arrays, schema=pa.schema(fields)), path)


def frames(times: Sequence[float], table: dict[str, tuple[np.ndarray, str]]) -> list[tuple[float, int, bytes]]:
    """The pull as CAN frames, encoded by cantools; two messages at the same times."""
    database = cantools.database.load_file(str(DBC))
    found = []
    for message in database.messages:
        names = [signal.name for signal in message.signals]
        for row, at in enumerate(times):
            values = {name: float(table[name.replace("_", " ")][0][row]) for name in names}
            found.append((float(at), message.frame_id, message.encode(values, strict=False)))
    return sorted(found)


class CanSuite(ReaderSuite):
    blank = "_"
    # Half of the coarsest step of the database, over the span of its channel: 0.01 km/h, 0.1 %, 0.0005 lambda.
    rounding = 2e-3

    @pytest.fixture(autouse=True)
    def database(self, tmp_path: Path) -> None:
        (tmp_path / "pull.dbc").write_bytes(DBC.read_bytes())


class TestCandump(CanSuite):
    suffix = ".log"

    def write(self, path, times, table):
        lines = [f"({1.777e9 + at:.6f}) can0 {key:03X}#{data.hex().upper()}" for at, key, data in frames(times, table)]
        path.write_text("\n".join(lines) + "\n")


class TestCandumpConsole(CanSuite):
    suffix = ".log"

    def write(self, path, times, table):
        lines = [
            f" ({1.777e9 + at:.6f})  can0  {key:03X}   [{len(data)}]  {data.hex(' ').upper()}"
            for at, key, data in frames(times, table)
        ]
        path.write_text("\n".join(lines) + "\n")


class LibraryTraceSuite(CanSuite):
    """Traces that python-can writes and reads."""

    def write(self, path, times, table):
        can = pytest.importorskip("can")
        with can.Logger(str(path)) as writer:
            for at, key, data in frames(times, table):
                writer.on_message_received(
                    can.Message(timestamp=1.777e9 + at, arbitration_id=key, data=data, is_extended_id=False, channel=1)
                )


class TestBlf(LibraryTraceSuite):
    suffix = ".blf"


class TestAsc(LibraryTraceSuite):
    suffix = ".asc"


class TestTrc(LibraryTraceSuite):
    suffix = ".trc"
