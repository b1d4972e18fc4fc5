"""NMEA 0183 and GPX against the examples by which they are taught."""

from functools import reduce
from operator import xor

import numpy as np
import pytest

from nextpass.errors import LogError
from nextpass.log import open_log

# The sentences of the common introductions to NMEA 0183 (memory): 48° 7.038' N, 11° 31' E, 22.4 knots, 545.4 m.
RMC = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A"
GGA = "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47"
# Another of them, on the southern and western half: 37° 51.65' S, 145° 07.36' E with no motion.
SOUTH = "$GPRMC,081836,A,3751.65,S,14507.36,E,000.0,360.0,130998,011.3,E*62"
KNOT_MPS = 1852.0 / 3600.0


def sentence(body: str) -> str:
    return f"${body}*{reduce(xor, body.encode()):02X}"


def test_the_published_sentences_have_their_published_checksums():
    for text in (RMC, GGA, SOUTH):
        assert sentence(text[1:].split("*")[0]) == text


def write(path, lines):
    path.write_text("\r\n".join(lines) + "\r\n")
    return path


def test_the_published_fix_is_read(tmp_path):
    later = sentence("GPRMC,123520,A,4807.040,N,01131.000,E,023.4,084.4,230394,003.1,W")
    log = open_log(write(tmp_path / "fix.nmea", [RMC, GGA, later]))
    assert log["latitude_deg"].values[0] == pytest.approx(48.0 + 7.038 / 60.0, abs=1e-9)
    assert log["longitude_deg"].values[0] == pytest.approx(11.0 + 31.0 / 60.0, abs=1e-9)
    assert log["gps_speed_mps"].values == pytest.approx([22.4 * KNOT_MPS, 23.4 * KNOT_MPS])
    assert log["altitude_m"].values[0] == pytest.approx(545.4)
    assert log["satellites"].values[0] == 8
    assert log["heading_deg"].values[0] == pytest.approx(84.4)
    assert log["gps_speed_mps"].time_s.tolist() == [0.0, 1.0]


def test_south_and_west_are_negative(tmp_path):
    west = sentence("GPRMC,081837,A,3751.65,S,14507.36,W,000.0,360.0,130998,011.3,E")
    log = open_log(write(tmp_path / "south.nmea", [SOUTH, west]))
    assert log["latitude_deg"].values == pytest.approx([-(37.0 + 51.65 / 60.0)] * 2)
    assert log["longitude_deg"].values == pytest.approx([145.0 + 7.36 / 60.0, -(145.0 + 7.36 / 60.0)])


def test_a_sentence_with_a_wrong_checksum_is_left_out_and_counted(tmp_path):
    lines = [sentence(f"GPRMC,1200{k:02d},A,4807.038,N,01131.000,E,{k}.0,0,230394,,") for k in range(8)]
    lines[3] = lines[3].replace(",3.0,", ",9.0,")
    log = open_log(write(tmp_path / "noise.nmea", lines))
    assert log["gps_speed_mps"].values == pytest.approx(KNOT_MPS * np.array([0, 1, 2, 4, 5, 6, 7]))
    assert "1 sentences have a wrong checksum and were left out" in log.quality.remarks


def test_the_time_of_day_goes_on_over_midnight(tmp_path):
    clocks = ["235959.00", "235959.50", "000000.00", "000000.50"]
    lines = [sentence(f"GNRMC,{clock},A,4807.038,N,01131.000,E,1.0,0,230394,,") for clock in clocks]
    log = open_log(write(tmp_path / "midnight.nmea", lines))
    assert log["gps_speed_mps"].time_s.tolist() == [0.0, 0.5, 1.0, 1.5]


def test_a_fix_that_is_not_valid_is_no_position(tmp_path):
    lines = [
        sentence(f"GPRMC,1200{k:02d},{'V' if k == 2 else 'A'},4807.038,N,01131.000,E,5.0,0,230394,,") for k in range(5)
    ]
    log = open_log(write(tmp_path / "void.nmea", lines))
    assert log["latitude_deg"].time_s.tolist() == [0.0, 1.0, 3.0, 4.0]


# The shape of the example that comes with the GPX 1.1 schema (memory), with three points of an invented drive.
GPX = """<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="nobody" xmlns="http://www.topografix.com/GPX/1/1">
  <wpt lat="47.644548" lon="-122.326897"><time>2009-10-17T18:37:28Z</time><name>start line</name></wpt>
  <trk><name>Example</name><trkseg>
    <trkpt lat="47.644548" lon="-122.326897"><ele>4.46</ele><time>2009-10-17T18:37:26Z</time></trkpt>
    <trkpt lat="47.644549" lon="-122.326898"><ele>4.94</ele><time>2009-10-17T18:37:31Z</time></trkpt>
    <trkpt lat="47.644550" lon="-122.326899"><ele>6.87</ele><time>2009-10-17T18:37:34Z</time></trkpt>
  </trkseg></trk>
</gpx>
"""


def test_the_published_track_is_read(tmp_path):
    path = tmp_path / "track.gpx"
    path.write_text(GPX)
    log = open_log(path)
    assert log["latitude_deg"].values.tolist() == [47.644548, 47.644549, 47.644550]
    assert log["longitude_deg"].values.tolist() == [-122.326897, -122.326898, -122.326899]
    assert log["altitude_m"].values.tolist() == [4.46, 4.94, 6.87]
    assert log["latitude_deg"].time_s.tolist() == [0.0, 5.0, 8.0]
    assert [(mark.time_s, mark.text) for mark in log.marks] == [(2.0, "start line")]
    # GPX 1.1 has no speed, and none is made out of positions.
    assert "gps_speed_mps" not in log


def test_a_speed_in_an_extension_is_metres_a_second(tmp_path):
    path = tmp_path / "track.gpx"
    path.write_text(
        GPX.replace("</time></trkpt>", "</time><extensions><x:speed xmlns:x='u'>7.5</x:speed></extensions></trkpt>")
    )
    assert open_log(path)["gps_speed_mps"].values == pytest.approx([7.5, 7.5, 7.5])


def test_a_document_type_is_refused(tmp_path):
    path = tmp_path / "bomb.gpx"
    path.write_text(GPX.replace("<gpx ", '<!DOCTYPE gpx [<!ENTITY a "aaaa">]>\n<gpx ', 1))
    with pytest.raises(LogError) as refusal:
        open_log(path)
    assert str(refusal.value) == f"{path}: it declares a document type, which no GPX file does; export it again"
