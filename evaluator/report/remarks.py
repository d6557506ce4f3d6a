"""What must be known of a take to read its marks?

Repairs, another key, where it begins, tempo and feel, bars that lost a beat or could not be
followed; nothing for an ordinary take.
"""

from evaluator.chart.graph import BarGraph
from evaluator.chart.values import swing_text
from evaluator.follow.path import Path
from evaluator.judge.verdict import Judgement, SectionTempo
from evaluator.report.form_pairs import last_of_lines
from evaluator.report.headline import begun_again
from evaluator.report.places import amount, capital, number_word, places, sections_in_words
from evaluator.report.sentences import ONCE_OR_MORE, REMARKS
from evaluator.take.model import CHANNELS, Take

STRAIGHT, SWINGS = 1.2, 1.3
"""Long to short eighth below which nobody hears a swing, and from which on everybody does:
common practice, no source."""
TOLD_REPAIRS = 3
"""Repairs that are told in full; the JSON file has them all."""


def remarks(graph: BarGraph, take: Take, judgement: Judgement, path: Path) -> tuple[str, ...]:
    """What has to be known to read the marks; empty for an ordinary take."""
    told: list[str] = []
    told += [repair.say for repair in take.repairs if repair.kind == CHANNELS]
    repairs = [repair for repair in take.repairs if repair.kind != CHANNELS]
    if repairs:
        says = [repair.say for repair in repairs[:TOLD_REPAIRS]]
        more = len(repairs) - TOLD_REPAIRS
        if more > 0:
            says.append(REMARKS["more repairs"].format(repairs=amount(more, "other repair")))
        told.append(REMARKS["repairs"].format(repairs=" ".join(says)))
    if not judgement.matches or not judgement.bars:
        return tuple(told)
    if path.transposed:
        told.append(_transposed(path.transposed))
    told += _through(graph, judgement, path)
    lost = {
        verdict.bar: graph.bars[verdict.bar] for verdict in judgement.bars if not verdict.judged
    }
    told += [_tempo(graph, one) for one in judgement.tempo.sections]
    told += _drift(judgement)
    told += _short(graph, judgement)
    told += _slow(graph, judgement)
    if judgement.tempo.counted is not None:
        counted, beats = number_word(judgement.tempo.counted), number_word(graph.meter.beats)
        told.append(REMARKS["counted"].format(counted=capital(counted), beats=beats))
    told += _feel(graph, judgement)
    # The last bar may ring on as long as one likes.
    if lost and set(lost) != {judgement.bars[-1].bar}:
        told.append(REMARKS["lost"].format(places=places(lost.values())))
    return tuple(told)


def _feel(graph: BarGraph, judgement: Judgement) -> list[str]:
    """Whether the eighths are swung where they should not be, or not where they should."""
    played = judgement.tempo.swing
    if played is None:
        return []
    if float(graph.swing) > SWINGS and played < STRAIGHT:
        chart = swing_text(graph.swing)
        return [REMARKS["straight"].format(chart=chart)]
    if graph.swing == 1 and played > SWINGS:
        return [REMARKS["swung"].format(played=played)]
    return []


def _through(graph: BarGraph, judgement: Judgement, path: Path) -> list[str]:
    again = begun_again(judgement)
    if not again:
        return []
    if path.complete:
        times = ONCE_OR_MORE.get(again + 1, amount(again + 1, "time"))
        return [REMARKS["through"].format(times=times)]
    last = graph.bars[judgement.bars[-1].bar]
    return [REMARKS["begun again"].format(section=last.section, number=last.number)]


def _tempo(graph: BarGraph, found: SectionTempo) -> str:
    words = sections_in_words(graph, [found.section])
    return REMARKS["tempo"].format(sections=words, bpm=found.bpm, rest=found.rest)


def _drift(judgement: Judgement) -> list[str]:
    found = judgement.tempo.drift
    if found is None:
        return []
    case = "slower" if found.last < found.first else "faster"
    return [REMARKS[case].format(first=found.first, last=found.last)]


def _short(graph: BarGraph, judgement: Judgement) -> list[str]:
    """Bars that lost a beat; of those that lost two or more each number by itself."""
    told = []
    for beats in sorted({one.beats for one in judgement.tempo.short}):
        found = {
            one.bar: graph.bars[one.bar] for one in judgement.tempo.short if one.beats == beats
        }
        told.append(
            REMARKS["short"].format(
                places=capital(places(found.values())),
                is_are="is" if len(found) == 1 else "are",
                beats="a beat" if beats == 1 else amount(beats, "beat"),
                last=last_of_lines(graph, tuple(found.values())),
            )
        )
    return told


def _slow(graph: BarGraph, judgement: Judgement) -> list[str]:
    """Hard bars that were played slowly."""
    found = {bar: graph.bars[bar] for bar in judgement.tempo.slow}
    if not found:
        return []
    one = len(found) == 1
    return [
        REMARKS["slow"].format(
            places=capital(places(found.values())),
            is_are="is" if one else "are",
            it_them="it" if one else "them",
        )
    ]


def _transposed(semitones: int) -> str:
    return REMARKS["transposed"].format(
        semitones=amount(abs(semitones), "semitone"),
        direction="higher" if semitones > 0 else "lower",
    )
