"""Invented logs with a known truth: no real place, boat or day."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from app.common.units import FOOT, KNOT

DEGREE_NORTH = 111_132.0  # m, near enough to write a log: the tests allow for the rest


def sentence(body: str) -> str:
    """A body with its dollar sign and checksum."""
    check = 0
    for byte in body.encode():
        check ^= byte
    return f"${body}*{check:02X}"


def shoal(along: np.ndarray) -> np.ndarray:
    """Depth, m: 12 m of water, and a rip 4 m high with its crest 300 m on."""
    return 12.0 - 4.0 * np.exp(-(((along - 300.0) / 60.0) ** 2))


@dataclass
class Trip:
    """A straight trip at a steady speed, written once a second."""

    seconds: int = 240
    speed: float = 2.5
    course: float = 0.6
    lat: float = 10.0
    lon: float = -30.0
    start: int = 3600 * 8
    date: str = "020304"
    ground: Callable[[np.ndarray], np.ndarray] = shoal
    noise: float = 0.0
    talker: str = "GP"
    speeds: np.ndarray | None = None
    time: np.ndarray = field(init=False)

    def __post_init__(self) -> None:
        self.time = np.arange(self.seconds, dtype=float)
        if self.speeds is None:
            self.speeds = np.full(self.seconds, self.speed)
        steps = np.concatenate([[0.0], 0.5 * (self.speeds[1:] + self.speeds[:-1])])
        self.along = np.cumsum(steps)
        east, north = self.along * np.sin(self.course), self.along * np.cos(self.course)
        self.lats = self.lat + north / DEGREE_NORTH
        self.lons = self.lon + east / (111_320.0 * np.cos(np.radians(self.lat)))
        self.lons = (self.lons + 180.0) % 360.0 - 180.0
        noise = np.random.default_rng(5).normal(size=self.seconds) * self.noise
        self.depth = self.ground(self.along) + noise

    def clock(self, i: int) -> tuple[str, str]:
        """Time of day and date of second i."""
        second = self.start + i
        day = int(self.date[:2]) + second // 86400
        second %= 86400
        time = f"{second // 3600:02}{second // 60 % 60:02}{second % 60:02}.00"
        return time, f"{day:02}{self.date[2:]}"

    def place(self, i: int) -> str:
        lat, lon = abs(self.lats[i]), abs(self.lons[i])
        south, west = "NS"[int(self.lats[i] < 0)], "EW"[int(self.lons[i] < 0)]
        return f"{int(lat):02}{lat % 1 * 60:08.5f},{south},{int(lon):03}{lon % 1 * 60:08.5f},{west}"

    def rmc(self, i: int) -> str:
        time, date = self.clock(i)
        speed, course = KNOT.from_si(self.speeds[i]), np.degrees(self.course) % 360.0
        body = f"RMC,{time},A,{self.place(i)},{speed:.2f},{course:.1f},{date},,,A"
        return sentence(self.talker + body)

    def gga(self, i: int) -> str:
        time, _ = self.clock(i)
        return sentence(f"{self.talker}GGA,{time},{self.place(i)},1,08,0.9,1.0,M,40.0,M,,")

    def gll(self, i: int) -> str:
        time, _ = self.clock(i)
        return sentence(f"{self.talker}GLL,{self.place(i)},{time},A,A")

    def dpt(self, i: int) -> str:
        return sentence(f"SDDPT,{self.depth[i]:.2f},0.5")

    def dbt(self, i: int) -> str:
        return sentence(f"SDDBT,{FOOT.from_si(self.depth[i]):.1f},f,{self.depth[i]:.2f},M,,F")

    def lines(self, *kinds: str) -> list[str]:
        """Sentences of some kinds, second by second."""
        return [getattr(self, kind)(i) for i in range(self.seconds) for kind in kinds]

    def gpx(self, depth: str = "<extensions><x:depth>{:.2f}</x:depth></extensions>") -> str:
        points = [
            f'<trkpt lat="{self.lats[i]:.7f}" lon="{self.lons[i]:.7f}">'
            f"<time>2004-03-02T{self.iso(i)}Z</time>{depth.format(self.depth[i])}</trkpt>"
            for i in range(self.seconds)
        ]
        head = '<?xml version="1.0"?><gpx version="1.1" xmlns:x="urn:invented">'
        return head + "<trk><trkseg>" + "\n".join(points) + "</trkseg></trk></gpx>"

    def geojson(self, convention: str = "3.1", reference: str = "Transducer") -> str:
        """Crowd-sourced bathymetry as in B-12."""
        about: dict[str, object] = {"convention": f"GeoJSON CSB {convention}"}
        crs: dict[str, object] = {"type": "name", "properties": {"name": "EPSG:4326"}}
        if convention == "3.1":
            about = {"trustedNode": about | {"verticalReferenceOfDepth": reference}}
        else:
            crs = {"horizontal": {"type": "EPSG", "value": 4326}, "vertical": reference}
        features = [
            {
                "type": "Feature",
                "geometry": {
                    "type": "Point", "coordinates": [
                        round(self.lons[i], 7), round(self.lats[i], 7),
                    ],
                },
                "properties": {
                    "depth": round(self.depth[i], 2), "time": f"2004-03-02T{self.iso(i)}.000Z",
                },
            }
            for i in range(self.seconds)
        ]  # fmt: skip
        head = {"type": "FeatureCollection", "crs": crs, "properties": about}
        return json.dumps(head | {"features": features}, indent=1)

    def shared_csv(self, vessel: str = "INVENTED-1") -> list[str]:
        """The same as an archive gives it out."""
        return [
            "UNIQUE_ID,FILE_UUID,LON,LAT,DEPTH,TIME,PLATFORM_NAME,PROVIDER",
            *(
                f"{vessel},a-file,{self.lons[i]:.7f},{self.lats[i]:.7f},{self.depth[i]:.2f},"
                f"2004-03-02T{self.iso(i)}Z,Anonymous,Nobody"
                for i in range(self.seconds)
            ),
        ]

    def iso(self, i: int) -> str:
        time, _ = self.clock(i)
        return f"{time[:2]}:{time[2:4]}:{time[4:6]}"


def written(folder: Path, lines: Iterable[str] | str, name: str = "trip.log") -> Path:
    """A file of lines, or of a text."""
    path = folder / name
    text = lines if isinstance(lines, str) else "".join(f"{line}\r\n" for line in lines)
    path.write_bytes(text.encode())
    return path
