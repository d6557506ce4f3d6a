"""What is the draft of a take that is counted through?

On the beats that were found: bars, basses, colours, patterns, feel, and what of it is not
sure. The draft is then held against its own take, and says what is missing for that to be
right. Nothing of the sheet is changed but what was plainly played otherwise.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np

from evaluator.chart.graph import Meter
from evaluator.chart.values import swing_text
from evaluator.draft.bars import PlayedBar, played_bars, without_upbeat
from evaluator.draft.basses import with_basses
from evaluator.draft.doubts import Doubter, length_doubted
from evaluator.draft.hands import EARLY, in_beats
from evaluator.draft.key import key_of
from evaluator.draft.mending import Mending, Place
from evaluator.draft.metre import Counted
from evaluator.draft.model import Draft, DraftBar, DraftLine, DraftSection, DraftSpan
from evaluator.draft.own_take import OwnTake, grade_own_take
from evaluator.draft.passing import PASSES, kept_to, passing
from evaluator.draft.rhythm import Rhythm, find_rhythm, freed
from evaluator.draft.route import SheetRoute
from evaluator.draft.sheet import Sheet
from evaluator.draft.visits import Visit, same_places, section_visits, unlike_the_sheet
from evaluator.take.model import Take
from evaluator.take.strike import Strike
from evaluator.theory.symbol import ChordSymbol

_LOOKS = 4
_AT_ONCE = 0.3
"""Beats within which the last chord is struck, by both hands."""
_LATE = 0.75
"""Beats by which it may come late behind a ritard: those that were found lag behind."""


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
        self._plain, self._rules = basses.bars, basses.rules
        self._visits = section_visits(self._plain, route)
        self._doubter = Doubter(counted.heard, self._flats)
        self._found = self._begun()
        self._grades: dict[Draft, OwnTake] = {}

    def draft(self) -> Draft:
        """The whole."""
        rhythm, own = self._mended(self._rhythm())
        if rhythm.patterns and own.mark < PASSES:
            # Most patterns will go, and where the rhythm is free less is held against a take.
            self._found = self._begun()
            self._mended(freed(rhythm, set(rhythm.of_section)))
            own = self._graded(self._drafted(rhythm))
        rhythm, own = passing(
            (rhythm, own), self._visits, lambda other: self._graded(self._drafted(other))
        )
        self._found.doubt_what_is_left(own)
        return self._drafted(rhythm)

    def _begun(self) -> Mending:
        ruled = {rule.chord for rule in self._rules}
        return Mending(self._plain, self._played, self._doubter, ruled)

    def _mended(self, rhythm: Rhythm) -> tuple[Rhythm, OwnTake]:
        """The rhythm that is kept to, and the take by the draft with all that it was held to be
        wrong for."""
        draft = self._drafted(rhythm)
        own = self._graded(draft)
        for look in range(_LOOKS):
            rhythm = kept_to(rhythm, own, self._visits, list(map(self._alike, self._visits)))
            if look:  # by a pattern that is none fills are held to be wrong chords
                self._found.mend(own)
            before, draft = draft, self._drafted(rhythm)
            if look and draft == before:
                break
            own = self._graded(draft)
        return rhythm, own

    def _graded(self, draft: Draft) -> OwnTake:
        """The take by a draft; of one that was graded already it is known."""
        if draft not in self._grades:
            self._grades[draft] = grade_own_take(draft, self._take, self._struck)
        return self._grades[draft]

    def _rhythm(self) -> Rhythm:
        of_bar = [
            (n, self._alike(visit)) for n, visit in enumerate(self._visits) for _ in visit.bars
        ]
        return find_rhythm(self._plain, of_bar, self._played, self._meter.beats, self._rules)

    def _alike(self, visit: Visit) -> int:
        return self._route.route.alike[visit.section]

    def _drafted(self, rhythm: Rhythm) -> Draft:
        """The draft as far as it has come."""
        swing = rhythm.swing
        # What was played in their place may have taken every chord of a rule.
        plain = {span.chord for bar in self._found.bars for span in bar.spans}
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

    def _drafted_bars(self) -> list[DraftBar]:
        places = same_places(self._visits, self._found.bars, self._route)
        colours, again = self._colours_of_places(places), self._come_again(places)
        found = []
        for number, bar in enumerate(self._found.bars):
            last = number == len(self._found.bars) - 1
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
            doubts = (*doubts, *self._found.doubted.get(number, ()))
            found.append(DraftBar(meter, spans, start, doubts))
        return found

    def _come_again(self, places: Mapping[Place, object]) -> set[int]:
        """Bars of a length that their place has in each of several playings of the section."""
        lengths: dict[object, list[int]] = defaultdict(list)
        for (number, place), key in places.items():
            if place == 0:
                lengths[key].append(self._found.bars[number].beats)
        return {
            number
            for (number, place), key in places.items()
            if place == 0 and len(lengths[key]) > 1 and len(set(lengths[key])) == 1
        }

    def _is_held(self, bar: PlayedBar) -> bool:
        """Whether nothing is struck after the bar's first chord. That may come late, and in a
        ritard behind what the right hand still has of the bar before."""
        struck = self._played.between(bar.first - EARLY, np.inf)
        last = [one for one in struck if struck[-1].at - one.at <= _AT_ONCE]
        before = struck[: len(struck) - len(last)]
        late = any(one.hand == "left" for one in last) and last[0].at < bar.first + _LATE
        alone = not before or (late and all(one.hand == "right" for one in before))
        return len(bar.spans) == 1 and alone

    def _colours_of_places(
        self, places: Mapping[Place, object]
    ) -> dict[Place, tuple[ChordSymbol, ...]]:
        """Colours of each span: all that were heard at its place in any playing."""
        heard: dict[object, dict[ChordSymbol, None]] = defaultdict(dict)
        for at, colours in self._found.coloured.items():
            heard[places[at]] |= dict.fromkeys(colours)
        return {at: tuple(heard[key]) for at, key in places.items() if key in heard}

    def _sections(self, drafted: Sequence[DraftBar]) -> list[DraftSection]:
        bars = self._found.bars
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


def _alike(one: Sequence[DraftBar], other: Sequence[DraftBar]) -> bool:
    return [(bar.meter, bar.spans) for bar in one] == [(bar.meter, bar.spans) for bar in other]
