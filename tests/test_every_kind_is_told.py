"""Has every word of a verdict its row in every table that goes by such words?

A verdict's words are closed lists; the sentences, prices, signs and file fields for them
stand in tables of other modules. A new word has to turn this red until it is told, priced
and written everywhere. The tables are our own, no source.
"""

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

import pytest

from evaluator.judge import marks
from evaluator.judge.touch import UNITS, curves
from evaluator.judge.verdict import (
    FaultKind,
    FormKind,
    HandManner,
    Manner,
    RhythmVerdict,
    StrikeFault,
    StrikeVerdict,
    Word,
)
from evaluator.judge.verdict import TouchAspect as Aspect
from evaluator.practise import times
from evaluator.practise import words as practise
from evaluator.report import (
    class_take,
    class_words,
    faults,
    form_told,
    form_words,
    manner_words,
    sentences,
    touch,
)
from evaluator.report import json as report_json
from evaluator.report.class_report import StumbleKind
from evaluator.report.model import BarFaultKind, LoopKind
from evaluator.show import marked_song
from evaluator.show.glyphs import ASCII, MEANINGS, UNICODE
from evaluator.show.pages import song_bars, strips
from tests.report.builders import finding, judgement, report, right_bar
from tests.report.builders import song as small_song

Words = Collection[str]


def words(kind: object, *, without: Iterable[str] = ()) -> set[str]:
    """A closed list less those that a table leaves out with reason."""
    listed = set(get_args(kind))
    assert listed >= set(without)
    return listed - set(without)


FAULTS = words(FaultKind)
FORM = words(FormKind)
HELD_AGAINST = words(FormKind, without=["choice"])
COUNTED = words(FormKind, without=["choice", "restart", "break"])
WRONG = {f"chord {word}" for word in words(Word, without=["right", "not judged"])}
ASPECTS = words(Aspect)
SIGNED = words(BarFaultKind, without=["slip"])


def of(part: str, table: Iterable[tuple[str, object]]) -> set[str]:
    """The second words of the rows for one part."""
    return {str(word) for first, word in table if first == part}


def firsts(table: Iterable[tuple[str, object]]) -> set[str]:
    return {first for first, _ in table}


def told_aspects() -> set[str]:
    """The aspects that have a sentence, or one for each way of being off."""
    by_turn = {aspect: set(cases) for aspect, cases in touch.TURNS.items()}
    by_turn["length"] = {"length short", "length long"}
    turned = {aspect for aspect, cases in by_turn.items() if cases <= set(sentences.TOUCH)}
    return turned | (set(sentences.TOUCH) - set().union(*by_turn.values()))


FULL: dict[str, tuple[set[str], Words]] = {
    "a clause for each fault of the pattern": (FAULTS, sentences.CLAUSES),
    "a phrase for each fault of the pattern": (FAULTS, sentences.PHRASES),
    "a mark for each fault of the pattern": (FAULTS, faults.CASE_KINDS),
    "a rule for each fault of the pattern": (FAULTS, faults.RULES),
    "a class's words for each fault of the pattern": (FAULTS, class_words.PATTERN),
    "what fails at a place of the pattern": (FAULTS, practise.FAILS_IN_PATTERN),
    "what fails in a pattern": (FAULTS, practise.PATTERN_FAILS),
    "what to listen for in a pattern": (FAULTS, practise.LISTEN),
    # Into a chord nothing can be added: what is added has no place in the chart.
    "what fails into a chord in time": (FAULTS - {"added"}, of("rhythm", practise.FAILS)),
    "a name for each manner": (words(Manner), manner_words.NAMES),
    "how a hand plays in each manner": (words(Manner), manner_words.PLAYS),
    "a clause for each wrong chord": (WRONG, sentences.CLAUSES),
    "a phrase for each wrong chord": (WRONG, sentences.PHRASES),
    "a mark for each wrong chord": (WRONG, faults.CASE_KINDS),
    "what fails in a chord": (
        words(Word, without=["right", "not judged"]),
        of("chord", practise.FAILS),
    ),
    # A bass is one note, and cannot be incomplete.
    "what fails in a bass": (
        words(Word, without=["right", "not judged", "incomplete"]),
        of("bass", practise.FAILS),
    ),
    "a price for each finding": (FORM, marks.PRICES),
    "a rule for each finding held against a take": (HELD_AGAINST, marks.FORM_RULES),
    "a sentence for bars counted": (COUNTED, firsts(form_words.WHOLE)),
    "a headline for bars counted": (COUNTED, firsts(form_words.BRIEF)),
    "a loop for bars counted": (COUNTED, firsts(practise.COUNTS)),
    # A bar that is missing is told by the bars of the time through that are wrong.
    "what is told of a time through": (HELD_AGAINST - {"missing"}, times.FORM),
    "what fails at a halt": (HELD_AGAINST - COUNTED, of("halt", practise.FAILS)),
    "a meaning for each finding": (HELD_AGAINST, MEANINGS),
    "a colour for each finding": (HELD_AGAINST, marked_song.STYLES),
    "a colour on the page for each finding": (HELD_AGAINST, song_bars.CLASSES),
    "a stumble for each finding": (HELD_AGAINST, class_take.KINDS),
    # A slip is only said, without a sign.
    "a sign in the song for each fault of a bar": (SIGNED, marked_song.MARKS),
    "a meaning for each fault of a bar": (SIGNED, MEANINGS),
    "a colour for each fault of a bar": (words(BarFaultKind), marked_song.STYLES),
    "a stumble for each fault of a bar": (SIGNED - {"lost"}, class_take.KINDS),
    "a way to each stumble": (words(StumbleKind), set(class_take.KINDS.values())),
    "a meaning for each stumble": (words(StumbleKind), MEANINGS),
    "what to listen for in each loop": (words(LoopKind, without=["rhythm"]), practise.LISTEN),
    "a unit for each aspect": (ASPECTS, UNITS),
    "a curve for each aspect": (ASPECTS, curves.CURVES),
    # How much pedal is right nobody can say: it is measured only.
    "sentences for each aspect": (ASPECTS - {"pedal"}, told_aspects()),
}


@pytest.mark.parametrize("what", list(FULL))
def test_a_table_has_a_row_for_every_word(what: str) -> None:
    wanted, table = FULL[what]
    assert wanted, "nothing would be looked up"
    assert wanted <= set(table)


def schema() -> dict[str, Any]:
    file = Path(report_json.__file__).with_name("report-1.schema.json")
    read: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return read


def enum(*way: str) -> set[str]:
    """The words that the schema allows somewhere: `bars faults kind`."""
    at: Mapping[str, Any] = schema()
    for step in way:
        at = at["properties"][step] if "properties" in at else at["items"]["properties"][step]
    return set(at["enum"])


@pytest.mark.parametrize(
    ("kind", "way"),
    [
        (FormKind, ("form", "kind")),
        (BarFaultKind, ("bars", "faults", "kind")),
        (LoopKind, ("practise", "kind")),
        (Aspect, ("touch", "aspects", "aspect")),
    ],
)
def test_the_schema_of_the_report_lists_every_word(kind: object, way: tuple[str, ...]) -> None:
    assert enum(*way) == words(kind)


def test_the_schema_of_the_report_lists_every_word_of_a_chord() -> None:
    assert set(schema()["$defs"]["word"]["enum"]) == words(Word)


def one_fault_of_each_kind() -> RhythmVerdict:
    kinds: tuple[FaultKind, ...] = get_args(FaultKind)
    each = tuple(StrikeFault(kind, float(at), "left", 120.0) for at, kind in enumerate(kinds))
    return RhythmVerdict(0.1, 0, each, 0.0, 0.0)


def test_every_fault_of_the_pattern_stands_in_the_report_file() -> None:
    graph = small_song()
    loose = replace(right_bar(graph, 0, 1), rhythm=one_fault_of_each_kind())
    told = report(judgement(graph, spoiled={1: loose}), graph)
    rhythm = json.loads(report_json.to_json(told))["bars"][0]["rhythm"]
    assert {kind: len(rhythm[kind]) for kind in FAULTS} == dict.fromkeys(FAULTS, 1)
    fields = schema()["properties"]["bars"]["items"]["properties"]["rhythm"]["properties"]
    assert set(fields) >= FAULTS


@pytest.mark.parametrize("manner", sorted(words(Manner, without=["pattern"])))
def test_every_manner_is_said_and_written(manner: Manner) -> None:
    assert manner in schema()["$defs"]["manner"]["enum"]
    graph = small_song()
    other = RhythmVerdict(0.8, 0, (), 0.0, 0.0, (HandManner("right", manner),))
    spoiled = {1: replace(right_bar(graph, 0, 1), rhythm=other)}
    told = report(judgement(graph, spoiled=spoiled), graph)
    (written,) = json.loads(report_json.to_json(told))["manners"]
    assert written["hands"] == [{"hand": "right", "manner": manner}]
    assert manner_words.PLAYS[manner] in written["say"]


def test_every_fault_of_the_pattern_is_in_the_words_of_its_picture() -> None:
    came = [
        StrikeVerdict(fault.beat, "left", fault.kind) for fault in one_fault_of_each_kind().faults
    ]
    said = strips._in_words(came, [True])
    assert [kind for kind in FAULTS if f"1 {kind}" not in said] == []


@pytest.mark.parametrize("kind", sorted(FORM))
def test_every_finding_is_said_and_written(kind: str) -> None:
    graph = small_song()
    detail = {"choice": "times", "restart": "line"}.get(kind, "")
    told = report(judgement(graph, form=[finding(kind, [5], graph, detail=detail)]), graph)
    (written,) = json.loads(report_json.to_json(told))["form"]
    assert written["kind"] == kind
    assert written["say"]
    assert (form_told.cost(told.form[0].finding) > 0) == (kind != "choice")


@pytest.mark.parametrize("kind", sorted(SIGNED | words(StumbleKind)))
def test_every_sign_has_a_shape_of_its_own(kind: str) -> None:
    for signs in (UNICODE, ASCII):
        assert [other for other in MEANINGS if signs.of(other) == signs.of(kind)] == [kind]
