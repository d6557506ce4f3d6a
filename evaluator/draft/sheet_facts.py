"""What does a sheet say of the song: title, author, key, tempo, meter, capo?

Facts stand on lines of their own, several on one, or beside the title, in English or German.
"""

import re

from evaluator.chart import values
from evaluator.chart.graph import Meter
from evaluator.chart.values import RefusedError
from evaluator.draft.sheet import Sheet
from evaluator.theory.pitch import Key, parse_key

_ABOUT = r"(?:(?:about|around)\s+|(?:ca?\.|~)\s*)"
_GERMAN = "titel|tonart|takt"
_FACTS = (
    (rf"(title|song|artist|key|time signature|time|meter|capo|{_GERMAN})\s*[:=]\s*(.*)", None),
    (rf"(?:[♩𝅘𝅥]\.|dotted\s+(?:quarter|crotchet))\s*=\s*{_ABOUT}?(\d{{2,3}})", "dotted"),
    (r"(tempo|bpm)\s*[:=]\s*(.*)", None),
    (r"(?:(?:words|lyrics|music|song|written|and|&)\s+)*(by)\s*:?\s+(.+)", "by"),
    (r"(?:words|lyrics|music)(?:\s*(?:and|&|\+)\s*(?:words|lyrics|music))?\s*:\s*(.+)", "by"),
    (r"capo\s+(?:on\s+|at\s+)?(\d.*|[ivx]+)", "capo"),
    (
        r"(?:in\s+)?(?:the\s+)?key\s+(?:of\s+)?([A-H][#b♯♭]?(?:\s*(?:m|min|maj|minor|major))?)",
        "key",
    ),
    (r"in\s+([A-H][#b♯♭]?\s+(?:minor|major))", "key"),
    (r"(?:time|meter|time signature)?\s*(\d{1,2}/\d{1,2})(?:\s+time)?", "time"),
    (rf"(?:tempo|bpm|q|quarter|[♩♪𝅘𝅥])\s*=?\s*{_ABOUT}?(\d{{2,3}})(?:\s*bpm)?", "tempo"),
    (rf"{_ABOUT}?(\d{{2,3}})\s*bpm", "tempo"),
    (rf"{_ABOUT}(\d{{2,3}})", "tempo"),
)
"""Facts of a song as they are written, with the name where the line does not say it."""
_FACT_PATTERNS = tuple((re.compile(pattern, re.I), name) for pattern, name in _FACTS)
_FACT_NAMES = {"song": "title", "artist": "by", "bpm": "tempo", "time": "meter"}
_FACT_NAMES |= {"time signature": "meter", "titel": "title", "tonart": "key", "takt": "meter"}
_IN_BRACKETS = re.compile(r"(.+?)\s*\(([^()]+)\)")
_IN_BRACKETS_ALONE = re.compile(r"\([^()]+\)")
_NOTE = re.compile(r"(?:in\s+)?([A-G][#b♯♭]?(?:m|\s+(?:minor|major))?)")
_BETWEEN_FACTS = re.compile(r"\s{2,}|\s*[,;|]\s*")
_GERMAN_KEY = re.compile(r"([A-H])(is|e?s|[#b])?[\s-]*(dur|moll)", re.I)
_GERMAN_NOTES = {"H": "B", "B": "Bb"}


def read_facts(text: str) -> tuple[tuple[str, str], ...]:
    """What a line says of the song, by name; nothing for a line that says anything else."""
    if _IN_BRACKETS_ALONE.fullmatch(text):
        text = text[1:-1].strip()
    parts = [part for part in _BETWEEN_FACTS.split(text) if part]
    for part in (parts, [text]):
        facts = [_fact(one) for one in part]
        if facts and all(facts):
            return tuple(fact for fact in facts if fact)
    return ()


def facts_among(text: str) -> tuple[tuple[str, str], ...]:
    """What the parts of a line and single signs say of the song, whatever stands between them."""
    parts = re.split(r"\s{2,}|[,;|()]", text)
    return sum(
        (read_facts(part.strip()) or sum(map(read_facts, part.split()), ()) for part in parts), ()
    )


def facts_beside(text: str) -> tuple[str, tuple[tuple[str, str], ...]]:
    """A title without the facts that stand far behind it on its line or in brackets, and those."""
    title, *rest = re.split(r"\s{2,}", text)
    facts = [_behind_title(part) for part in rest]
    if not all(facts):
        title, facts = text, []
    if bracket := _IN_BRACKETS.fullmatch(title):
        inside = _behind_title(bracket[2])
        title, facts = (bracket[1] if inside else title), [inside, *facts]
    return title, sum(facts, ())


def _behind_title(text: str) -> tuple[tuple[str, str], ...]:
    key = _NOTE.fullmatch(text)
    return read_facts(text) or ((("key", key[1]),) if key else ())


def _fact(text: str) -> tuple[str, str] | None:
    for pattern, name in _FACT_PATTERNS:
        found = pattern.fullmatch(text)
        if found:
            named = (name or found[1]).casefold()
            return _FACT_NAMES.get(named, named), found[found.lastindex or 0].strip()
    return None


def song_facts(given: dict[str, str], remarks: list[str]) -> Sheet:
    """A sheet of the facts alone, as far as a chart would take them; others become remarks."""
    key: Key | None = None
    tempo: float | None = None
    meter: Meter | None = None
    if "key" in given:
        try:
            key = parse_key(_GERMAN_KEY.sub(_in_english, given["key"]))
        except ValueError:
            remarks.append(f"the sheet's key could not be read: {given['key']}")
    if "meter" in given:
        try:
            meter = values.meter(given["meter"])
        except RefusedError:
            remarks.append(f"the sheet's meter could not be read: {given['meter']}")
    said = given.get("tempo", given.get("dotted", ""))
    if number := re.search(r"\d{1,3}(?:\.\d+)?", said):
        try:
            tempo = values.tempo(number[0])
        except RefusedError:
            remarks.append(f"the sheet's tempo could not be read: {said}")
    if tempo and "dotted" in given and meter and meter.unit == 8:
        tempo *= 3  # a chart counts eighths
    if given.get("capo"):
        remarks.append(f"the sheet says capo {given['capo']}: are these the chords for the piano?")
    return Sheet("", (), given.get("by", ""), key, tempo, meter)


def _in_english(found: re.Match[str]) -> str:
    """`Fis-Dur` is F# major, `b-Moll` Bb minor."""
    note, sign = found[1].upper(), (found[2] or "").casefold()
    note = note if sign else _GERMAN_NOTES.get(note, note)
    sign = {"is": "#", "es": "b", "s": "b"}.get(sign, sign)
    return f"{note}{sign} {'major' if found[3].casefold() == 'dur' else 'minor'}"
