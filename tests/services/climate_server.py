"""A climate service with manners good and bad, for the tests of fetching; runs on its own.

    python climate_server.py

Prints its port. The first part of a path says how it behaves; a path that ends in "tmy" is
answered as PVGIS documents its typical year, any other as NASA POWER documents its hours.
Each day of month m brings the same 24 hours: 200 + 20 m W/m² from 6 to 18 h UTC, at m °C.
"""

from __future__ import annotations

import json
import sys
import time
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlsplit

asked: list[str] = []
HOUR = timedelta(hours=1)
GAP = "20150210"  # a day of which NASA POWER lacks an hour


def hours(first: datetime, last: datetime) -> list[tuple[datetime, float, float]]:
    count = int((last - first) / HOUR)
    times = [first + n * HOUR for n in range(count)]
    return [
        (t, 200.0 + 20.0 * t.month if 6 <= t.hour < 18 else 0.0, float(t.month)) for t in times
    ]


def typical_year() -> dict[str, object]:
    rows = hours(datetime(2010, 1, 1, tzinfo=UTC), datetime(2011, 1, 1, tzinfo=UTC))
    return {
        "inputs": {"location": {}},
        "meta": {"inputs": {}},
        "outputs": {
            "months_selected": [],
            "tmy_hourly": [
                {"time(UTC)": f"{t:%Y%m%d:%H%M}", "G(h)": ghi, "T2m": air} for t, ghi, air in rows
            ],
        },
    }


def many_years(query: dict[str, list[str]]) -> dict[str, object]:
    first, last = (datetime.strptime(query[n][0], "%Y%m%d") for n in ("start", "end"))
    rows = hours(first, last + 24 * HOUR)
    ghi = {f"{t:%Y%m%d%H}": g for t, g, _ in rows}
    ghi[GAP + "03"] = -999.0
    return {
        "properties": {
            "parameter": {
                "ALLSKY_SFC_SW_DWN": ghi,
                "T2M": {f"{t:%Y%m%d%H}": air for t, _, air in rows},
            }
        },
        "header": {"fill_value": -999.0},
        "times": {},
        "parameters": {},
        "geometry": {"coordinates": [0.0, 0.0, 0.0]},
    }


class ClimateHandler(BaseHTTPRequestHandler):
    """Behaves as the path says."""

    protocol_version = "HTTP/1.1"

    def log_message(self, *_args: object) -> None:
        """Say nothing."""

    def do_GET(self) -> None:
        url = urlsplit(self.path)
        manner = url.path.strip("/").partition("/")[0]
        self.close_connection = True
        if manner == "asked":
            return self.send("\n".join(asked).encode())
        asked.append(self.path)
        if manner == "refuse":
            return self.send(json.dumps({"message": "Location over the sea"}).encode(), 400)
        if manner == "busy":
            return self.send(b"<html>too many requests</html>", 429)
        if manner == "login":
            return self.send(b"<html>Please log in</html>")
        if manner == "empty":
            return self.send(b"{}")
        if manner == "silent":
            time.sleep(20.0)
            return None
        query = parse_qs(url.query)
        answer = typical_year() if url.path.endswith("tmy") else many_years(query)
        body = json.dumps(answer).encode()
        if manner == "short":
            return self.send(json.dumps(answer).encode()[: len(body) // 2])
        if manner == "cut":
            return self.send(body[: len(body) // 2], 200, len(body))
        if manner == "slow":
            return self.drip(body)
        return self.send(body)

    def drip(self, body: bytes) -> None:
        self.head(200, len(body))
        step = len(body) // 10 + 1
        for start in range(0, len(body), step):
            self.wfile.write(body[start : start + step])
            self.wfile.flush()
            time.sleep(0.1)

    def send(self, body: bytes, status: int = 200, length: int | None = None) -> None:
        self.head(status, len(body) if length is None else length)
        self.wfile.write(body)

    def head(self, status: int, length: int) -> None:
        self.send_response(status)
        self.send_header("Content-Type", "application/json")
        self.send_header("Content-Length", str(length))
        self.send_header("Connection", "close")
        self.end_headers()


if __name__ == "__main__":
    server = ThreadingHTTPServer(("127.0.0.1", 0), ClimateHandler)
    sys.stdout.write(f"{server.server_address[1]}\n")
    sys.stdout.flush()
    server.serve_forever()
