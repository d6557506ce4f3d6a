"""What is kept of practising? Rules of this program; SQLite's upsert: its documentation."""

import json
import sqlite3
from dataclasses import replace
from pathlib import Path

from evaluator.history.progress import practising
from evaluator.history.reading import read
from evaluator.history.store import opened
from evaluator.history.telling import page, to_json
from evaluator.show.page import Sheet
from tests.history.kept import ROUND, entry, keep_all, practised


def kept(file: Path, *rounds: object) -> None:
    with opened(file) as history:
        for one in rounds:
            history.keep_round(one)  # type: ignore[arg-type]


def test_a_round_that_goes_on_takes_the_place_of_what_was_kept_of_it(tmp_path: Path) -> None:
    file = tmp_path / "history.db"
    kept(file, ROUND, replace(ROUND, times=5), practised(day=1))
    assert [one.times for one in read(file).practised] == [5, 4]


def test_rounds_are_read_by_student_and_chart_and_forgotten_with_them(tmp_path: Path) -> None:
    file = tmp_path / "history.db"
    kept(file, practised(student="Anna"), practised(student="Bo"))
    assert [one.student for one in read(file, student="Bo").practised] == ["Bo"]
    with opened(file) as history:
        gone = history.forget(chart=None, student="Bo")
    assert (gone.takes, gone.rounds) == (0, 1)
    assert [one.student for one in read(file).practised] == ["Anna"]


def test_forgetting_the_takes_of_a_chart_leaves_nothing_of_practising_it(tmp_path: Path) -> None:
    file = tmp_path / "history.db"
    keep_all(file, [entry()])
    kept(file, ROUND)
    with opened(file) as history:
        gone = history.forget(chart=ROUND.chart, student=None)
    assert (gone.takes, gone.rounds) == (1, 1)
    assert sqlite3.connect(file).execute("SELECT count(*) FROM chart").fetchone() == (0,)


def test_an_odd_row_is_passed_over(tmp_path: Path) -> None:
    file = tmp_path / "history.db"
    kept(file, ROUND, practised(day=1))
    with sqlite3.connect(file) as connection:
        connection.execute("UPDATE practised SET hand = 'foot' WHERE id = 1")
    found = read(file)
    assert (len(found.practised), found.odd) == (1, 1)


def test_a_history_of_an_older_version_is_read_and_brought_up(tmp_path: Path) -> None:
    file = tmp_path / "history.db"
    keep_all(file, [entry("a")])
    with sqlite3.connect(file) as connection:
        connection.execute("DROP TABLE practised")
        connection.execute("ALTER TABLE grade DROP COLUMN loops")
        connection.execute("PRAGMA user_version = 2")
    assert read(file).practised == ()
    kept(file, ROUND)
    found = read(file)
    assert (len(found.entries), found.entries[0].loops, len(found.practised)) == (1, (), 1)


def test_rounds_of_a_file_whose_takes_are_damaged_are_saved(tmp_path: Path) -> None:
    file = tmp_path / "history.db"
    keep_all(file, [entry(f"take-{n}", day=n) for n in range(90)])
    kept(file, *(practised(day=n) for n in range(90)))
    raw = bytearray(file.read_bytes())
    at = raw.index(b"take-45") // 4096 * 4096
    raw[at : at + 4096] = bytes(4096)
    file.write_bytes(raw)
    kept(file, practised(day=200))
    found = read(file)
    assert len(found.practised) == 91
    assert len(found.entries) > 10


def test_the_history_tells_of_each_passage_what_was_reached() -> None:
    found = practising([practised(), practised(first=9, last=12, hand="left", bpm=96)])
    told = ["".join(text for text, _ in line) for line in page((), Sheet(), found)]
    assert told == [
        "Kettle Lane: practised with `evaluator practise`",
        "  bars 5 and 6: 72 of 96 reached, four times through on one day",
        "  bars 9 to 12, left hand: mastered at 96, four times through on one day; again",
        "    from 2026-11-04",
    ]


def test_the_same_stands_in_the_json() -> None:
    (fields,) = json.loads(to_json((), practising([practised(bpm=96)])))["practised"]
    assert (fields["bars"], fields["bpm"], fields["mastered"], fields["again"]) == (
        [5, 6],
        96,
        True,
        "2026-11-04",
    )
