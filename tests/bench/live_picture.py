"""A picture of listening live for the README.

    python -m tests.bench.live_picture

Replays the demonstration take into the command on a terminal of its own, waits for the
second chorus' approach, and draws the screen as it stands there, read by a small terminal
of ours that knows what rich writes, as SVG into `docs/`.
"""

import re
import tempfile
from pathlib import Path

from tests.bench.pictures import ROOT, drawn
from tests.live.jack import Listening

SPEED = "5"
WANTED = "bar 29 of 86"
"""The first chorus is being played to its end."""
STEERING = re.compile(rb"\x1b\[(\d*)([A-Za-ln-z])|\x1b\[\?25[hl]")


def main() -> None:
    take = ROOT / "recordings" / "kettle_lane-student.mid"
    chart = ROOT / "charts" / "kettle_lane.txt"
    with tempfile.TemporaryDirectory() as name:
        listening = Listening(Path(name), str(chart), "--replay", str(take), "--speed", SPEED)
        listening.waits_to_show(WANTED, seconds=60)
        listening.kill()
    page = last_page(listening.shown)
    target = ROOT / "docs" / "live.svg"
    target.write_text(drawn(page, "evaluator listen charts/kettle_lane.txt"), encoding="utf-8")


def last_page(raw: bytes) -> str:
    """The last whole page: what stands between two erasings of the one before."""
    pages = re.split(rb"(?:\r?\x1b\[2K(?:\x1b\[1A)?)+", raw)
    whole = [page for page in pages if WANTED.encode() in page and b"Enter" in page]
    return STEERING.sub(b"", whole[-1]).decode().replace("\r", "")


if __name__ == "__main__":
    main()
