"""Time and memory to read recorded logs of 100 MB. Nothing is asserted.

Run ``python -m tests.benchmarks.ground_log_speed [MB]``. Invented logs are written to a
temporary folder; each is read in a process of its own, so that its peak memory is its own.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from app.ground.tracks.profile import ground_under
from app.ground.tracks.read import read_ground
from tests.app.ground.tracks.invented_logs import Trip, sentence

HOUR = 3600


def hours(kind: str, megabytes: float, path: Path) -> None:
    """Write trips of an hour each, one after the other, until the file is large enough."""
    with path.open("w", encoding="ascii", newline="") as file:
        if kind == "gpx":
            file.write('<?xml version="1.0"?><gpx xmlns:x="urn:invented"><trk><trkseg>')
        if kind == "csv":
            file.write("time,lat,lon,depth (m),speed (kn)\n")
        hour = 0
        while file.tell() < megabytes * 1e6:
            day, start = 1 + hour // 24, hour % 24 * HOUR
            trip = Trip(HOUR, start=start, date=f"{day % 28 + 1:02}{3 + day // 28:02}04", noise=0.1)
            if kind == "nmea":
                wind = sentence("WIMWV,214.8,R,10.1,N,A")
                vtg = sentence("GPVTG,54.7,T,34.4,M,5.5,N,10.2,K")
                lines = trip.lines("rmc", "gga", "dpt", "dbt")
                for i in range(0, len(lines), 4):
                    file.write("\r\n".join([*lines[i : i + 4], wind, vtg, ""]))
            elif kind == "gpx":
                when = f"2004-{3 + day // 28:02}-{day % 28 + 1:02}T"
                text = trip.gpx().partition("<trkseg>")[2].partition("</trkseg>")[0]
                file.write(text.replace("2004-03-02T", when))
            else:
                when = f"2004-{3 + day // 28:02}-{day % 28 + 1:02}T"
                for i in range(HOUR):
                    file.write(f"{when}{trip.iso(i)}Z,{trip.lats[i]:.7f},{trip.lons[i]:.7f},"
                               f"{trip.depth[i]:.2f},4.86\n")  # fmt: skip
            hour += 1
        if kind == "gpx":
            file.write("</trkseg></trk></gpx>")


def read(path: Path) -> None:
    """Read one file and print what it took."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    told: list[float] = []
    start = time.perf_counter()
    log = read_ground(path, lambda _share: bool(told.append(time.perf_counter())))
    spent = time.perf_counter() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    slowest = max(b - a for a, b in zip([start, *told], [*told, start + spent], strict=True))
    print(
        f"{path.suffix[1:]:5s} {path.stat().st_size / 1e6:6.0f} MB  {spent:6.1f} s  "
        f"peak {peak / 1e3:4.0f} MB of memory ({before / 1e3:.0f} MB before), "
        f"told {len(told)} times, longest silence {slowest:.2f} s"
    )
    for line in log.report.sentences():
        print(f"      {line}")
    start = time.perf_counter()
    ground_under(log.between(0.0, 600.0))
    print(f"      profile of ten minutes: {1e3 * (time.perf_counter() - start):.0f} ms")


def main() -> None:
    if len(sys.argv) > 2 and sys.argv[1] == "read":
        read(Path(sys.argv[2]))
        return
    megabytes = float(sys.argv[1]) if len(sys.argv) > 1 else 100.0
    with tempfile.TemporaryDirectory() as folder:
        for kind in ("nmea", "gpx", "csv"):
            path = Path(folder) / f"log.{kind}"
            hours(kind, megabytes, path)
            module = "tests.benchmarks.ground_log_speed"
            subprocess.run([sys.executable, "-m", module, "read", str(path)], check=True)
            path.unlink()


if __name__ == "__main__":
    main()
