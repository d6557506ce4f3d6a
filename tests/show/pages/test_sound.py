"""The notes that a page can play: those of the take, and those of the chart."""

import io

import mido

from evaluator.practise.guide import guide
from evaluator.show.pages.sound import sounds
from tests.playing import WrongBass
from tests.show.pages.takes import graded


def notes(row: list[int]) -> list[tuple[int, ...]]:
    return [tuple(row[at : at + 4]) for at in range(0, len(row), 4)]


def test_each_played_bar_has_the_notes_that_were_struck_in_it() -> None:
    take = graded(WrongBass(2, "A"))
    played = sounds(take)["played"]
    assert len(played) == len(take.path.bars) + 1  # they count from 1
    assert sum(len(notes(row)) for row in played) == len(take.take)
    lowest = min(key for _, _, key, _ in notes(played[2]))
    assert lowest % 12 == 9


def test_played_notes_count_from_their_bar_line() -> None:
    starts = [start for start, _, _, _ in notes(sounds(graded())["played"][3])]
    assert abs(min(starts)) < 30
    assert max(starts) < 2500  # a bar at 96 to the minute


def test_wanted_notes_keep_the_tempo_of_the_take() -> None:
    for share in (1.0, 0.8):
        take = graded(tempo=share)
        starts = [start for start, _, _, _ in notes(sounds(take)["wanted"][0])]
        assert abs(max(starts) - 3 * 625 / share) < 25  # beat 4


def test_a_transposed_take_sounds_in_the_key_of_the_chart() -> None:
    take, moved = graded(), graded(transposed=3)
    assert moved.path.transposed == 3
    keys = [[key for _, _, key, _ in notes(row)] for row in sounds(take)["played"]]
    assert [[key for _, _, key, _ in notes(row)] for row in sounds(moved)["played"]] == keys


def test_no_note_outlasts_its_bar_by_much() -> None:
    take = graded(pedal="changed")
    for verdict, row in zip(take.judgement.bars, sounds(take)["played"][1:], strict=True):
        length = 1000 * (verdict.end - verdict.start)
        assert all(start + long <= length + 260 for start, long, _, _ in notes(row))


def test_the_page_sounds_the_keys_of_the_guide() -> None:
    take = graded()
    graph = take.song.graph
    written = [sounds(take)["wanted"][index] for index in graph.written]
    keys = [[key for _, _, key, _ in notes(row)] for row in written]
    for index, found in zip(graph.written, keys, strict=True):
        pitch_classes = {tone for one in graph.bars[index].strikes for tone in one.pitch_classes}
        assert {key % 12 for key in found} == pitch_classes
    file = mido.MidiFile(file=io.BytesIO(guide(graph, graph.written[:8])))
    struck = [m.note for m in file if m.type == "note_on" and m.channel == 0]
    assert sorted(struck) == sorted(key for found in keys[:8] for key in found)
