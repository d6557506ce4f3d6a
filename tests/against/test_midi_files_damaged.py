"""Damaged files, kind by kind: what is kept and what is said.

The kinds are those on which other readers fail, observed with mido 1.3.3 (whose outcome
stands beside each); what a reader should make of them follows the chunk, event and status
rules of "Standard MIDI Files 1.0" and is otherwise our choice. There is no outside reader
that keeps what can be kept, so the notes expected here are those of the undamaged file.
"""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evaluator.errors import TakeError
from evaluator.take.midi_file import read_take
from evaluator.take.model import Take
from tests.take.build import chunk, control, end, header, meta, midi, number, off, on, tempo
from tests.take.random_files import Habits, random_file

SCALE = (60, 62, 64, 65, 67, 69, 71, 72)


def scale(*, channel: int = 0) -> bytes:
    """Eight notes, one a quarter, each held an eighth."""
    return b"".join(
        on(0 if pitch == SCALE[0] else 48, pitch, channel=channel) + off(48, pitch, channel=channel)
        for pitch in SCALE
    )


BODY = meta(0, 0x03, b"Piano") + tempo(0, 500_000) + scale() + end()
WHOLE = header(1, form=0) + chunk(b"MTrk", BODY)
TRACK_AT = 14
TRACK = chunk(b"MTrk", scale() + end())
TWO = header(2) + TRACK + TRACK


def sized(size: int) -> bytes:
    return header(1) + chunk(b"MTrk", BODY, size)


def riff(content: bytes) -> bytes:
    data = b"RMIDdata" + len(content).to_bytes(4, "little") + content
    return b"RIFF" + len(data).to_bytes(4, "little") + data


def with_event(event: bytes) -> bytes:
    """The scale with an event at its very beginning."""
    return midi(event + scale())


# Name, bytes, notes kept, kinds of repair. Beside each: what mido 1.3.3 makes of it.
KEPT: list[tuple[str, bytes, int, list[str]]] = [
    ("whole", WHOLE, 8, []),
    ("last byte missing", WHOLE[:-1], 8, ["cut"]),  # EOFError
    ("cut in the last note-off", WHOLE[:-6], 8, ["cut", "no-note-end"]),  # EOFError
    ("cut between tracks", header(2) + TRACK, 8, ["tracks-missing"]),  # EOFError
    ("length too big", sized(len(BODY) + 9), 8, ["length"]),  # EOFError
    ("length at its greatest", sized(0xFFFFFFFF), 8, ["length"]),  # EOFError
    ("length never filled in", sized(0), 8, ["length"]),  # no notes, no error
    ("length too small", sized(len(BODY) - 30), 8, ["length"]),  # notes lost
    (
        "length over the next track",
        header(2) + chunk(b"MTrk", scale() + end(), len(TWO) - 22) + TRACK,
        16,
        ["length"],
    ),  # one track lost
    ("no end mark", header(1) + chunk(b"MTrk", scale()), 8, ["no-end-mark"]),  # silent
    (
        "notes after the end mark",
        header(1) + chunk(b"MTrk", BODY + on(0, 90) + off(9, 90)),
        8,
        ["after-end"],
    ),  # read as music
    ("inside RIFF", riff(WHOLE), 8, []),  # OSError
    ("inside RIFF with words after it", riff(WHOLE) + b"LIST\4\0\0\0INFO", 8, []),  # OSError
    ("MacBinary block before it", b"\0take" + bytes(123) + WHOLE, 8, ["junk-before"]),  # OSError
    (
        "unknown chunk between tracks",
        header(2) + TRACK + chunk(b"XFIH", b"abc") + TRACK,
        16,
        [],
    ),  # OSError
    (
        "stray bytes between tracks",
        header(2) + TRACK + b"\1\2\3" + TRACK,
        16,
        ["junk-between"],
    ),  # OSError
    ("zeros after the last track", WHOLE + bytes(100), 8, []),  # silent
    ("text after the last track", WHOLE + b"\n--\nsent", 8, ["junk-between"]),  # silent
    ("track mark damaged", WHOLE.replace(b"MTrk", b"MUrk"), 8, ["track-name"]),  # OSError
    ("header mark damaged", WHOLE.replace(b"MThd", b"MTh\0"), 8, ["header"]),  # OSError
    ("long header", header(1, extra=b"\0\0") + WHOLE[TRACK_AT:], 8, []),
    ("header too short", b"MThd\0\0\0\2" + WHOLE[8:], 8, ["header"]),
    ("header length wrong", b"MThd\0\0\1\6" + WHOLE[8:], 8, ["header"]),
    ("unknown chunk that ends like a track", WHOLE + chunk(b"XFKM", BODY), 8, []),
    (
        "letters between tracks that are no chunk",
        header(2) + TRACK + b"abcd\xff\xff\xff\xff" + TRACK,
        16,
        ["junk-between"],
    ),
    (
        "sent as text and cut",
        with_event(meta(0, 1, b"\n" * 9)).replace(b"\n", b"\r\n")[:-1],
        8,
        ["text-mode", "cut"],
    ),
    ("too many tracks announced", header(4) + WHOLE[TRACK_AT:], 8, ["tracks-missing"]),  # EOFError
    ("too few tracks announced", header(1) + TWO[TRACK_AT:], 16, ["tracks-more"]),  # silently lost
    ("format 3", header(1, form=3) + WHOLE[TRACK_AT:], 8, ["format"]),  # accepted
    ("format 0 with two tracks", header(2, form=0) + TWO[TRACK_AT:], 16, []),  # accepted
    ("format 2 with one pattern", header(1, form=2) + WHOLE[TRACK_AT:], 8, []),  # TypeError
    ("SMPTE 25 x 40", midi(scale(), division=0xE728), 8, []),  # negative length
    ("SMPTE 30 x 80", midi(scale(), division=0xE250), 8, []),  # negative length
    ("key number above 127", with_event(b"\0\x90\xc8\x40"), 8, ["bad-value"]),  # OSError
    ("key of a note-off above 127", with_event(b"\0\x80\xc8\x40"), 8, ["bad-value"]),
    ("loudness above 127", with_event(on(0, 90, 200) + off(9, 90)), 9, ["loudness"]),  # OSError
    ("pedal above 127", with_event(control(0, 64, 255)), 8, ["bad-value"]),  # OSError
    ("undefined status F4", with_event(b"\0\xf4"), 8, ["stray"]),  # OSError
    ("clock F8 before running status", midi(on(0, 60) + b"\0\xf8\x09\x3c\0"), 1, ["stray"]),
    ("active sensing FE", with_event(b"\0\xfe"), 8, ["stray"]),  # accepted
    (
        "running status after system exclusive",
        midi(on(0, 60) + b"\0\xf0\2\x7e\xf7" + b"\x09\x3c\0"),
        1,
        ["running-status"],
    ),  # the note-off vanishes
    (
        "running status after a meta event",
        midi(on(0, 60) + meta(0, 1, b"x") + b"\x09\x3c\0"),
        1,
        ["running-status"],
    ),
    ("no status at all", with_event(b"\0\x3c\x40"), 8, ["no-status"]),  # OSError
    ("key signature of 8 sharps", with_event(meta(0, 0x59, b"\x08\xff")), 8, []),  # own class
    ("key signature of one byte", with_event(meta(0, 0x59, b"\0")), 8, []),  # IndexError
    ("meter of no bytes", with_event(meta(0, 0x58)), 8, []),  # IndexError
    ("meter 0/4", with_event(meta(0, 0x58, b"\0\2\x18\x08")), 8, []),
    ("SMPTE offset at rate 7", with_event(meta(0, 0x54, b"\xe0\0\0\0\0")), 8, []),  # KeyError
    ("tempo of two bytes", with_event(meta(0, 0x51, b"\7\xa1")), 8, ["tempo"]),  # IndexError
    ("tempo 0", with_event(tempo(0, 0)), 8, ["tempo"]),  # length 0
    (
        "delta time of ten bytes",
        midi(scale() + b"\x81" * 9 + b"\0" + on(0, 90)[1:]),
        8,
        ["unreadable"],
    ),  # 1.2e18 seconds
    ("meta event longer than the track", midi(scale() + b"\0\xff\x01\x7f"), 8, ["torn"]),
    ("note without an end", midi(on(0, 90) + scale() * 30), 241, ["no-note-end"]),  # left open
    ("stopped with the last key down", midi(scale() + on(0, 90)), 9, []),  # left open
    (
        "key struck twice, let go once",
        midi(on(0, 60) + on(48, 60) + off(48, 60)),
        2,
        ["no-note-end"],
    ),
    (
        "key struck twice, let go twice",
        midi(on(0, 60) + on(48, 60) + off(48, 60) + off(9, 60)),
        2,
        [],
    ),
    ("escape sequences in a name", with_event(meta(0, 3, b"\x1b[2J")), 8, []),
    (
        "sent as text",
        with_event(meta(0, 1, b"a\nb\n")).replace(b"\n", b"\r\n"),
        8,
        ["text-mode"],
    ),  # OSError
    (
        "event of over a million bytes",
        with_event(meta(0, 0x7F, bytes(1_100_000))),
        8,
        [],
    ),  # OSError
]

REFUSED: list[tuple[str, bytes, str]] = [
    ("empty", b"", "empty"),
    ("header only", header(0), "no notes"),
    ("cut in the header", WHOLE[:9], "breaks off inside its header"),
    ("cut in the first track mark", WHOLE[:16], "no notes that can be read"),
    ("division 0", midi(scale(), division=0), "0 ticks"),
    ("SMPTE at 77 frames", midi(scale(), division=0xB328), "77 film frames"),
    ("format 2 with two patterns", header(2, form=2) + TWO[TRACK_AT:], "2 separate patterns"),
    ("drums only", midi(scale(channel=9)), "All 8 notes .* channel 10"),
    ("pause of 77 hours", midi(number(0x0FFFFFFF) + on(0, 60)[1:] + off(9, 60)), "hours"),
    ("no notes", midi(tempo(0, 500_000)), "holds no notes. Check"),
    ("nothing but zeros", bytes(5000), "zeros"),
    ("random bytes", bytes(range(255, 0, -1)), "no MIDI header"),
    ("bytes overwritten in mail", WHOLE.replace(b"\x90", b"\xef\xbf\xbd"), "as text"),
    ("RIFF without a MIDI file", b"RIFF\4\0\0\0RMID", "not a MIDI file"),
    ("picture", b"\xff\xd8\xff\xe0\0\x10JFIF\0" + WHOLE, "JPEG picture"),
    ("picture", b"\x89PNG\r\n\x1a\n", "PNG picture"),
    ("sound", b"RIFF\x24\0\0\0WAVEfmt ", "WAV sound recording"),
    ("sound", b"ID3\4\0\0", "MP3 sound recording"),
    ("sound", b"\0\0\0\x20ftypM4A ", "M4A sound recording"),
    ("document", b"%PDF-1.7\n", "PDF document"),
    ("archive", b"PK\3\4\x14\0" + WHOLE, "ZIP archive"),
    ("chart", "title: Kettle Lane\n| D | A/C♯ |\n".encode(), "a text file"),
    ("score", b'<?xml version="1.0"?>\n<score-partwise>', "MusicXML score"),
    ("page", b"<!DOCTYPE html>\n<html>", "web page"),
]


@pytest.mark.parametrize(
    ("raw", "notes", "kinds"), [row[1:] for row in KEPT], ids=[row[0] for row in KEPT]
)
def test_what_can_be_read_is_kept_and_the_damage_is_said(
    raw: bytes, notes: int, kinds: list[str]
) -> None:
    take = read_take(raw)
    assert len(take) == notes
    assert [repair.kind for repair in take.repairs] == kinds
    assert all(repair.say.endswith(".") and "{" not in repair.say for repair in take.repairs)


@pytest.mark.parametrize(
    ("raw", "says"), [row[1:] for row in REFUSED], ids=[row[0] for row in REFUSED]
)
def test_what_holds_no_take_is_refused_with_a_reason(raw: bytes, says: str) -> None:
    with pytest.raises(TakeError, match=says):
        read_take(raw)


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (sized(0), "The length written at byte 18 is wrong; the track was read by its content."),
        (with_event(b"\0\xf4"), "A message that has no place in a file was skipped at byte 23."),
        (
            with_event(on(0, 90, 200) + off(9, 90)),
            "A note has an impossible loudness at byte 25; it was kept as very loud.",
        ),
        (
            header(1) + chunk(b"MTrk", scale() + end() + b"abc"),
            "3 bytes after the end mark of a track were left out, first at byte 90.",
        ),
        (header(0) + TRACK + TRACK, "The file has 2 tracks more than its header says;"),
        (header(3) + TRACK, "2 tracks that the header announces are not in the file."),
        (WHOLE[:-1], f"The file breaks off at byte {len(WHOLE) - 1};"),
        (b"12" + WHOLE, "2 bytes before the MIDI header were skipped."),
    ],
)
def test_the_sentence_says_how_much_and_where(raw: bytes, says: str) -> None:
    (repair,) = read_take(raw).repairs
    assert repair.say.startswith(says)


def test_a_key_number_above_127_never_becomes_another_key() -> None:
    assert read_take(with_event(b"\0\x90\xc8\x40")).pitches.tolist() == list(SCALE)


def test_text_mode_damage_is_undone_exactly() -> None:
    # A velocity, a key and a delta time of 10 are line ends too.
    sound = midi(on(10, 10, 10) + off(10, 10) + on(13, 13, 10) + off(10, 13, 13))
    mended, whole = read_take(sound.replace(b"\n", b"\r\n")), read_take(sound)
    assert notes_of(mended) == notes_of(whole)
    assert [repair.kind for repair in mended.repairs] == ["text-mode"]


def notes_of(take: Take) -> list[tuple[float, float, int, int]]:
    columns = (take.onsets, take.offsets, take.pitches, take.velocities)
    return list(zip(*(column.tolist() for column in columns), strict=True))


def kept(raw: bytes) -> int:
    try:
        return len(read_take(raw))
    except TakeError:
        return 0


@pytest.mark.parametrize("seed", [1, 2, 3, 4, 5])
def test_a_file_cut_at_any_byte_keeps_the_notes_before_the_cut(seed: int) -> None:
    raw = random_file(seed, Habits(overlaps=False, marks_in_any_track=False))
    counts = [kept(raw[:cut]) for cut in range(len(raw) + 1)]
    assert counts == sorted(counts)
    assert counts[-1] == len(read_take(raw))
    # Each stroke counts from the byte on with which it is complete.
    assert len(set(counts)) == counts[-1] + 1


def test_what_a_cut_file_keeps_are_the_notes_of_the_whole() -> None:
    whole = notes_of(read_take(WHOLE))
    for cut in range(len(WHOLE)):
        if count := kept(WHOLE[:cut]):
            notes = notes_of(read_take(WHOLE[:cut]))
            assert [note[0::2] for note in notes] == [note[0::2] for note in whole[:count]]


@pytest.mark.parametrize("damage", [b"\x00", b"\x7f", b"\x80", b"\xff"])
def test_one_overwritten_byte_costs_at_most_the_notes_around_it(damage: bytes) -> None:
    """In the music itself; the header and the tempo govern every note."""
    music = WHOLE.index(on(0, 60))
    for at in range(music, len(WHOLE)):
        assert kept(WHOLE[:at] + damage + WHOLE[at + 1 :]) >= (at - music) // 8, at


@settings(max_examples=150, derandomize=True, database=None)
@given(st.binary(max_size=400))
def test_no_bytes_raise_anything_but_our_own_error(raw: bytes) -> None:
    for whole in (raw, header(1) + raw, header(1) + chunk(b"MTrk", raw)):
        kept(whole)


@settings(max_examples=150, derandomize=True, database=None)
@given(
    st.integers(0, 30),
    st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 255)), min_size=1, max_size=8),
)
def test_flipped_bytes_raise_nothing_but_our_own_error(
    seed: int, flips: list[tuple[int, int]]
) -> None:
    raw = bytearray(random_file(seed, Habits(overlaps=True, marks_in_any_track=True)))
    for at, value in flips:
        raw[at % len(raw)] = value
    kept(bytes(raw))


@pytest.mark.parametrize("tear", [lambda raw: raw[:-7], lambda raw: raw[:30] + raw[37:]])
def test_lost_bytes_are_always_said(tear: Callable[[bytes], bytes]) -> None:
    assert read_take(tear(WHOLE)).repairs
