"""Is listening live fast, small and honest enough?

    python -m tests.bench.live                 everything, about six minutes
    python -m tests.bench.live --takes 20      fewer simulated takes
    python -m tests.bench.live --only screen   one table: marks, strikes, memory, processor, screen

marks      do the marks that stand while playing agree with the report's?
strikes    how long does one strike take in the follower, on a song of 200 bars?
memory     what does an hour of waiting cost, and an hour of playing?
processor  which share of one core goes to a take played in real time?
screen     how long from a strike on the wire to the changed picture?

The last one needs JACK (Debian: jackd2) and plays single notes from another process into
the program, whose terminal it reads. Figures go to the standard output.
"""

import argparse
import os
import re
import resource
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from evaluator.excerpt.song import Song
from evaluator.follow.compiled import follower
from evaluator.follow.grid import lay_out
from evaluator.grading import Graded, grade_fully, prepare
from evaluator.live.journal import Entry, LineSplitter, line
from evaluator.live.session import Session, Settings
from evaluator.report.faults import bar_faults
from evaluator.take.midi_file import read_take
from evaluator.take.model import Take, make_take
from evaluator.take.strike import Strike, strikes
from tests.bench.figures import Figure, share, show
from tests.bench.students import FEW, HANDS, HandName, simulate
from tests.live.jack import ENVIRONMENT, Jack, Listening
from tests.live.peer import Peer
from tests.live.script import START, opened
from tests.live.stage import entries_of, perform
from tests.playing import play, to_midi

FIRST = 1000
"""Seeds from here on are for the reported figures."""
HOUR = 3600.0
ROOT = Path(__file__).resolve().parents[2]
CHART = ROOT / "charts" / "kettle_lane.txt"
TAKE = ROOT / "recordings" / "kettle_lane-clean.mid"
SAME = 1.5
"""Seconds within which a bar of the live way and one of the report's are one."""

Marks = frozenset[str]


def marks(takes: int) -> list[Figure]:
    """Bars of simulated takes whose live marks are the report's: all kinds, no more."""
    found = []
    for hand in HANDS:
        tally = [agreement(FIRST + number, hand) for number in range(takes)]
        bars, first, settled = (sum(column) for column in zip(*tally, strict=True))
        found.append(share(f"{hand}: as they stand at the end", settled, bars, 0.98))
        found.append(share(f"{hand}: as first shown", first, bars))
        progress(f"{hand} {settled}/{bars}")
    return found


def agreement(seed: int, hand: HandName) -> tuple[int, int, int]:
    """Bars of one take; those right when first shown; those right at the end."""
    simulated = simulate(seed, hand, faults=FEW)
    song = prepare(simulated.chart_text)
    return agrees(song, grade_fully(song, simulated.midi_bytes))


def agrees(song: Song, graded: Graded) -> tuple[int, int, int]:
    """The same of a take that has been graded."""
    session = Session(song, Settings())
    firsts: dict[tuple[int, int], Marks] = {}
    until = START + 1.0 + graded.take.seconds + 10.0
    for _, page in perform(session, entries_of(graded.take), until=until):
        for place, bar in enumerate(page.played):
            firsts.setdefault((place, bar.number), frozenset(bar.kinds))
    session.finish(until)
    lasts = session.page(until).played
    way = session.following.judged.path.bars
    first = settled = 0
    for verdict, on_way in zip(graded.judgement.bars, graded.path.bars, strict=True):
        wanted = frozenset(fault.kind for fault in bar_faults(verdict, song.graph))
        start = on_way.start - float(graded.take.onsets[0])
        same = [
            place
            for place, bar in enumerate(way[: len(lasts)])
            if bar.bar == verdict.bar and abs(bar.start - start) < SAME
        ]
        if same:
            last = lasts[same[0]]
            settled += frozenset(last.kinds) == wanted
            first += firsts.get((same[0], last.number)) == wanted
    return len(graded.judgement.bars), first, settled


def long_song() -> tuple[BarGraph, tuple[Strike, ...]]:
    """A song of 200 bars, and the strikes of a take of it."""
    text = "title: Long\ntempo: 100\n\npattern walk\n  left  | x . . . x . . . |\n"
    text += "  right | . . x . . x x . |\n"
    chords = ("C", "Am", "F", "G", "Dm", "Em", "Bb", "G7")
    for section in range(10):
        text += f"\n[Part {section}]\n"
        for row in range(5):
            bars = " | ".join(chords[(section + row * 3 + bar) % 8] for bar in range(4))
            text += f"| {bars} |\n"
    graph = read_chart(text)
    return graph, strikes(read_take(to_midi(play(graph, jitter_ms=15))))


def strike_times() -> list[Figure]:
    """Milliseconds of one strike in the follower, on that song."""
    graph, heard = long_song()
    following = follower(lay_out(graph))
    took = []
    for strike in heard:
        begun = time.perf_counter()
        following.push(strike)
        took.append(1000 * (time.perf_counter() - begun))
    half, most = np.percentile(took, [50, 99])
    return [
        Figure("p50, ms", float(half), len(took), 2.0, "at most"),
        Figure("p99, ms", float(most), len(took), 5.0, "at most"),
    ]


def memory() -> list[Figure]:
    """Megabytes that an hour adds to the program."""
    song = prepare(CHART.read_text())
    waiting = growth(Session(song, Settings()), _heartbeats(), 60.0, HOUR)
    take = _again_and_again(read_take(TAKE.read_bytes()), HOUR + 300.0)
    playing = growth(Session(song, Settings()), iter(entries_of(take)), 300.0, HOUR + 300.0)
    return [
        Figure("an hour of waiting, MB", waiting, 0, 20.0, "at most"),
        Figure("an hour of playing, MB", playing, 0, 20.0, "at most"),
    ]


def growth(session: Session, entries: Iterator[Entry], warm: float, until: float) -> float:
    """Megabytes more after `until` seconds than after `warm`; every entry through its line."""
    splitter, now, before = LineSplitter(), START, 0.0
    entry: Entry | None = next(entries, None)
    while now < START + until:
        while entry is not None and entry.host <= now:
            for read in splitter.push(line(entry).encode()):
                session.take_in(read, now)
            entry = next(entries, None)
        session.step(now)
        session.page(now)
        if not before and now > START + warm:
            before = _resident()
        now += 0.05
    return _resident() - before


def _heartbeats() -> Iterator[Entry]:
    yield opened()
    for number in range(int(HOUR / 0.3)):
        yield Entry("message", START + 1.0 + 0.3 * number, 0.3, b"\xfe")


def _again_and_again(take: Take, seconds: float) -> Take:
    length = take.seconds + 1.2
    times = int(seconds / length) + 1
    shifts = np.repeat(np.arange(times) * length, len(take))
    return make_take(
        np.tile(take.onsets, times) + shifts,
        np.tile(take.offsets, times) + shifts,
        np.tile(take.pitches, times),
        np.tile(take.velocities, times),
    )


def _resident() -> float:
    with open("/proc/self/statm") as file:
        return int(file.read().split()[1]) * resource.getpagesize() / 1e6


def processor() -> list[Figure]:
    """Share of one core of the program with its recorder and its screen, in real time."""
    with tempfile.TemporaryDirectory() as name:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        listening = Listening(Path(name), str(CHART), "--replay", str(TAKE))
        listening.waits_to_show("tempo ")
        begun, started = time.monotonic(), _ticks(listening.process.pid)
        time.sleep(90)
        spent = _ticks(listening.process.pid) - started
        seconds = time.monotonic() - begun
        listening.stop()
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    every = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return [
        Figure("program and recorder while playing", spent / seconds, 0, 0.15, "at most"),
        Figure("the same from start to report", every / seconds, 0),
    ]


def _ticks(pid: int) -> float:
    """Seconds of processor time of a process and its children that still run."""
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    total = 0.0
    for one in (str(pid), *children):
        fields = Path(f"/proc/{one}/stat").read_text().rsplit(")", 1)[1].split()
        total += int(fields[11]) + int(fields[12])
    return total / os.sysconf("SC_CLK_TCK")


SOUNDING = re.compile(rb"\x1b\[0m   ([A-G]#?b?)(?:\r|\x1b|$)")
NOTES = ("C", "D", "E", "F", "G", "A", "B")
PITCHES = (60, 62, 64, 65, 67, 69, 71)


def screen() -> list[Figure]:
    """Milliseconds from a note on the wire to the picture that names it."""
    if shutil.which("jackd") is None:
        progress("jackd is not installed: the way to the screen is not measured")
        return []
    os.environ.update(ENVIRONMENT)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        server = Jack(folder / "jackd.log")
        try:
            took = _to_the_screen(folder)
        finally:
            server.stop()
    half, most = np.percentile(took, [50, 99])
    return [
        Figure("p50, ms", 1000 * float(half), len(took)),
        Figure("p99, ms", 1000 * float(most), len(took), 150.0, "at most"),
    ]


def _to_the_screen(folder: Path) -> list[float]:
    """Seconds for each note; one that was never named counts as a second."""
    count, apart = 300, 0.243
    script = []
    for number in range(count):
        pitch = PITCHES[(number * 3) % 7]
        script.append((apart * number, bytes((0x90, pitch, 80))))
        script.append((apart * number + 0.9 * apart, bytes((0x80, pitch, 0))))
    piano = Peer("piano", script, folder)
    words = (str(CHART), "--port", "piano:keys")
    listening = Listening(folder, *words)
    pictures: list[tuple[float, bytes]] = []
    listening.on_read = lambda raw: pictures.append((time.perf_counter(), raw))
    listening.waits_to_show("Listening to")
    piano.play()
    piano.wait()
    listening.stop()
    piano.kill()
    named = [(at, NOTES.index(f[-1].decode())) for at, f in _named(pictures)]
    took = []
    struck = [(at, PITCHES.index(raw[1])) for at, raw in piano.sent() if raw[0] == 0x90]
    for at, note in struck:
        after = [when - at for when, which in named if which == note and 0 <= when - at < 1.0]
        took.append(after[0] if after else 1.0)
    return took


def _named(pictures: list[tuple[float, bytes]]) -> Iterator[tuple[float, list[bytes]]]:
    """Each picture's time and the note it names; a picture may come in several pieces."""
    for at, raw in pictures:
        found = SOUNDING.findall(raw)
        if found and found[-1].decode() in NOTES:
            yield at, found


def progress(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


def tables(takes: int) -> dict[str, tuple[str, Callable[[], list[Figure]]]]:
    return {
        "marks": ("bars whose live marks are the report's", lambda: marks(takes)),
        "strikes": ("one strike through the follower, 200 bars", strike_times),
        "memory": ("growth of memory", memory),
        "processor": ("share of one core", processor),
        "screen": ("from the wire to the screen", screen),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--takes", type=int, default=40, help="simulated takes a hand")
    parser.add_argument("--only", choices=list(tables(0)))
    options = parser.parse_args()
    for name, (title, measured) in tables(options.takes).items():
        if options.only in (None, name):
            show(title, measured(), {})


if __name__ == "__main__":
    main()
