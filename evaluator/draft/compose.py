"""What is the draft of a take that is counted through?

On the beats that were found: bars, basses, colours, patterns, feel, and what of it is not
sure. The draft is then held against its own take, and says what is missing for that to be
right. Nothing of the sheet is changed but what was plainly played otherwise.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np

from evaluator.chart.graph import Meter
from evaluator.chart.values import swing_text
from evaluator.draft.bars import PlayedBar, PlayedSpan, joined, played_bars, without_upbeat
from evaluator.draft.basses import with_bass, with_basses
from evaluator.draft.colours import colour_of
from evaluator.draft.doubts import Doubter, length_doubted
from evaluator.draft.hands import EARLY, in_beats
from evaluator.draft.key import key_of
from evaluator.draft.metre import Counted
from evaluator.draft.model import Draft, DraftBar, DraftLine, DraftSection, DraftSpan
from evaluator.draft.own_take import OwnTake, bass_played, colour_played, grade_own_take
from evaluator.draft.passing import kept_to, passing
from evaluator.draft.rhythm import Rhythm, find_rhythm
from evaluator.draft.route import SheetRoute
from evaluator.draft.sheet import Sheet
from evaluator.draft.visits import Visit, same_places, section_visits, unlike_the_sheet
from evaluator.judge.verdict import SpanVerdict
from evaluator.take.model import Take
from evaluator.take.strike import Strike
from evaluator.theory.pitch import NoteName
from evaluator.theory.symbol import ChordSymbol

_LOOKS = 4
_AT_ONCE = 0.3
"""Beats within which the last chord is struck, by both hands."""
_Place = tuple[int, int]
"""Number of a bar of the take, and of a chord in it."""


def compose(
    sheet: Sheet, route: SheetRoute, counted: Counted, played: tuple[Take, Sequence[Strike]]
) -> Draft:
    """The draft of a take that is counted through."""
    return _Composer(sheet, route, counted, played).draft()


class _Composer:
    def __init__(
        self,
        sheet: Sheet,
        route: SheetRoute,
        counted: Counted,
        played: tuple[Take, Sequence[Strike]],
    ) -> None:
        self._sheet, self._route, self._counted = sheet, route, counted
        self._take, self._struck = played
        self._meter = counted.meter
        chords = [chord for chord in map(route.chord_at, counted.way.places.tolist()) if chord]
        self._key = sheet.key or key_of(chords, [1.0] * len(chords))
        self._flats = self._key is not None and self._key.flats
        self._played = in_beats(*played, counted.beats)
        plain = played_bars(counted.way, route, counted.meter.beats)
        plain = without_upbeat(plain, self._played, counted.meter.beats)
        basses = with_basses(plain, self._played, flats=self._flats)
        self._bars, self._rules = list(basses.bars), basses.rules
        self._ruled = {rule.chord for rule in basses.rules}
        self._visits = section_visits(self._bars, route)
        self._coloured = self._colours_heard(range(len(self._bars)))
        self._doubted: dict[int, tuple[str, ...]] = {}
        self._doubter = Doubter(counted.heard, self._flats)

    def draft(self) -> Draft:
        """The whole."""
        rhythm = self._rhythm()
        draft = self._drafted(rhythm)
        own = grade_own_take(draft, self._take, self._struck)
        for look in range(_LOOKS):
            rhythm = kept_to(rhythm, own, self._visits, list(map(self._alike, self._visits)))
            if look:  # by a pattern that is none fills are held to be wrong chords
                self._mend(own)
            before, draft = draft, self._drafted(rhythm)
            if look and draft == before:
                break
            own = grade_own_take(draft, self._take, self._struck)
        rhythm, own = passing(
            (rhythm, own),
            self._visits,
            lambda one: grade_own_take(self._drafted(one), self._take, self._struck),
        )
        self._doubt_what_is_left(own)
        return self._drafted(rhythm)

    def _rhythm(self) -> Rhythm:
        of_bar = [
            (n, self._alike(visit)) for n, visit in enumerate(self._visits) for _ in visit.bars
        ]
        return find_rhythm(self._bars, of_bar, self._played, self._meter.beats, self._rules)

    def _alike(self, visit: Visit) -> int:
        return self._route.route.alike[visit.section]

    def _drafted(self, rhythm: Rhythm) -> Draft:
        """The draft as far as it has come."""
        swing = rhythm.swing
        # What was played in their place may have taken every chord of a rule.
        plain = {span.chord for bar in self._bars for span in bar.spans}
        sections = tuple(
            replace(section, pattern=rhythm.of_section.get(number))
            for number, section in enumerate(self._sections(self._drafted_bars()))
        )
        return Draft(
            self._sheet.title,
            self._meter,
            float(round(self._counted.bpm)),
            sections,
            by=self._sheet.by,
            key=self._key,
            swing=swing_text(swing) if swing != 1 else "",
            rules=tuple(rule for rule in self._rules if rule.chord in plain),
            patterns=rhythm.patterns,
            remarks=(*self._sheet.remarks, *self._remarks(), *rhythm.remarks),
        )

    def _mend(self, own: OwnTake) -> None:
        """Put into the draft what its take was held to be wrong for."""
        for number, bar in enumerate(self._bars):
            basses = own.basses(number)
            self._mend_chords(number, own)
            if self._bars[number] is not bar or len(basses) != len(bar.spans):
                continue  # the bass of another chord is heard by that
            spans = list(bar.spans)
            for place, verdict in enumerate(basses):
                note = bass_played(spans[place], verdict)
                if note is not None:
                    spans[place] = with_bass(spans[place], note, self._ruled)
                    self._doubt_bass(number, bar.spans[place], note)
            self._bars[number] = replace(bar, spans=tuple(spans))

    def _mend_chords(self, number: int, own: OwnTake) -> None:
        bar, verdicts = self._bars[number], own.chords(number)
        if len(verdicts) != len(bar.spans):
            return
        spans = list(bar.spans)
        for place, verdict in enumerate(verdicts):
            span = spans[place]
            colour = colour_played(span, verdict, self._played)
            if colour is None or span.chord is None:
                continue
            # What was put in the place of the chord before may go on.
            goes_on = place > 0 and spans[place - 1] != bar.spans[place - 1]
            goes_on = goes_on and spans[place - 1].chord == colour
            if goes_on or (colour.root != span.chord.root and self._doubter.prefers(span, colour)):
                spans[place] = replace(span, chord=colour)
                if goes_on:
                    continue
            else:
                before = self._coloured.get((number, place), ())
                self._coloured[number, place] = tuple(dict.fromkeys((*before, colour)))
            if colour.root != span.chord.root:
                sheet = span.chord.text
                self._doubt(number, f"{colour.text} was played where the sheet has {sheet}")
        if spans != list(bar.spans):
            self._bars[number] = replace(bar, spans=joined(spans))
        if len(self._bars[number].spans) < len(spans):  # what stands in its places is another
            others = {at: of for at, of in self._coloured.items() if at[0] != number}
            self._coloured = others | self._colours_heard([number])

    def _doubt_bass(self, number: int, span: PlayedSpan, note: NoteName) -> None:
        chord = span.chord
        assert chord is not None
        if note.pc not in chord.tones or chord in self._ruled:
            self._doubt(number, f"{note.text} is in the bass of {chord.text} here; is it meant?")

    def _doubt(self, number: int, said: str) -> None:
        self._doubted[number] = tuple(dict.fromkeys((*self._doubted.get(number, ()), said)))

    def _doubt_what_is_left(self, own: OwnTake) -> None:
        """What is no chord that could be named is doubted."""
        for number, bar in enumerate(self._bars):
            verdicts = own.chords(number)
            if number in self._doubted or len(verdicts) != len(bar.spans):
                continue
            for span, verdict in zip(bar.spans, verdicts, strict=True):
                if span.chord is not None and verdict.word in ("wrong", "incomplete"):
                    self._doubt(number, f"{span.chord.text} was not {_struck(verdict)}")

    def _drafted_bars(self) -> list[DraftBar]:
        places = same_places(self._visits, self._bars, self._route)
        colours, again = self._colours_of_places(places), self._come_again(places)
        found = []
        for number, bar in enumerate(self._bars):
            last = number == len(self._bars) - 1
            held = last and self._is_held(bar)
            spans = tuple(
                DraftSpan(
                    span.chord,
                    span.beats,
                    () if held else colours.get((number, place), ()),
                    held and span.chord is not None,
                )
                for place, span in enumerate(bar.spans)
            )
            meter = self._meter
            if bar.beats != meter.beats:
                meter = Meter(bar.beats, meter.unit)
            start = float(self._counted.beats[bar.first])
            coloured = [colour.text for span in spans for colour in span.colours]
            doubts = self._doubter.doubts(bar, coloured, last=last)
            if bar.beats != self._meter.beats and number not in again:
                doubts = (length_doubted(bar.beats), *doubts)
            doubts = (*doubts, *self._doubted.get(number, ()))
            found.append(DraftBar(meter, spans, start, doubts))
        return found

    def _come_again(self, places: Mapping[_Place, object]) -> set[int]:
        """Bars of a length that their place has in each of several playings of the section."""
        lengths: dict[object, list[int]] = defaultdict(list)
        for (number, place), key in places.items():
            if place == 0:
                lengths[key].append(self._bars[number].beats)
        return {
            number
            for (number, place), key in places.items()
            if place == 0 and len(lengths[key]) > 1 and len(set(lengths[key])) == 1
        }

    def _is_held(self, bar: PlayedBar) -> bool:
        """Whether nothing is struck after the bar's first chord, which may come late."""
        struck = self._played.between(bar.first - EARLY, np.inf)
        return len(bar.spans) == 1 and (not struck or struck[-1].at - struck[0].at <= _AT_ONCE)

    def _colours_heard(self, numbers: Iterable[int]) -> dict[_Place, tuple[ChordSymbol, ...]]:
        """The colour of each span of these bars that has one."""
        heard = {
            (number, place): colour_of(span, self._played)
            for number in numbers
            for place, span in enumerate(self._bars[number].spans)
        }
        return {at: (colour,) for at, colour in heard.items() if colour is not None}

    def _colours_of_places(
        self, places: Mapping[_Place, object]
    ) -> dict[_Place, tuple[ChordSymbol, ...]]:
        """Colours of each span: all that were heard at its place in any playing."""
        heard: dict[object, dict[ChordSymbol, None]] = defaultdict(dict)
        for at, colours in self._coloured.items():
            heard[places[at]] |= dict.fromkeys(colours)
        return {at: tuple(heard[key]) for at, key in places.items() if key in heard}

    def _sections(self, drafted: Sequence[DraftBar]) -> list[DraftSection]:
        bars = self._bars
        found = []
        for visit in self._visits:
            section = self._sheet.sections[visit.section]
            lines: list[DraftLine] = []
            before = None
            for _, group in groupby(visit.bars, key=lambda number: bars[number].place):
                numbers = list(group)
                line = self._route.lines[bars[numbers[0]].line]
                line_bars = tuple(drafted[number] for number in numbers)
                if before is line and _alike(lines[-1].bars, line_bars):
                    lines[-1] = replace(lines[-1], count=lines[-1].count + 1)
                else:
                    words = "" if before is line else line.words
                    lines.append(DraftLine(line_bars, words, 1, line.remarks))
                before = line
            found.append(DraftSection(section.name, tuple(lines), remarks=section.remarks))
        return found

    def _remarks(self) -> list[str]:
        """What the take did otherwise than the sheet's order, and what was guessed."""
        remarks = unlike_the_sheet(self._visits, self._sheet.sections)
        if not self._counted.tempo_said:
            remarks.append(
                "the tempo is as it was played; if you count it half or twice as fast, draft "
                "it again with --tempo"
            )
        return remarks


def _struck(verdict: SpanVerdict) -> str:
    """What is said of a chord that was not played."""
    if verdict.word == "incomplete" and verdict.missing:
        return f"struck whole here: {' and '.join(verdict.missing)} did not sound"
    return "what was struck here" + (f", but {verdict.played}" if verdict.played else "")


def _alike(one: Sequence[DraftBar], other: Sequence[DraftBar]) -> bool:
    return [(bar.meter, bar.spans) for bar in one] == [(bar.meter, bar.spans) for bar in other]
