"""Files that are no score, are damaged, or made to do harm, get a sentence. What harm is
done with: Morgan, "XML Schema, DTD, and Entity Attacks" (2014), and zip bombs as in
Fifield, WOOT 2019; from memory."""

import io
import re
import tracemalloc
import zipfile
from contextlib import suppress

import pytest

from evaluator.notation import ScoreError, import_score
from evaluator.notation.guard import MOST_BYTES, safe_score
from tests.notation.sheets import (
    attributes,
    chord,
    note,
    packed,
    piano,
    rehearsal,
    repeat,
    score,
    sheet,
)

SONG = score(chord("C") + note(), chord("G") + note())
HEAD = b'<?xml version="1.0"?>'
ENTITIES = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10 if n else "ha"}">' for n in range(10))


def refusal(raw: bytes) -> str:
    with pytest.raises(ScoreError) as caught:
        safe_score(raw)
    said = str(caught.value)
    assert said.endswith(".")
    assert "\n" not in said
    return said


def test_a_plain_and_a_packed_score_are_the_same():
    assert safe_score(SONG) == safe_score(packed(SONG)) == SONG


def test_a_packed_score_without_a_container_is_found():
    assert safe_score(packed(SONG, container=False)) == SONG


def test_a_document_type_alone_does_no_harm():
    typed = SONG.replace(
        b"<score-partwise ", b'<!DOCTYPE score-partwise SYSTEM "x"><score-partwise '
    )
    assert safe_score(typed) == typed


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
def test_other_encodings_are_read(encoding):
    text = SONG.decode().replace('encoding="UTF-8"', f'encoding="{encoding}"')
    assert safe_score(text.encode(encoding))


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"", "not MusicXML"),
        (b"\x00\x01\x02", "not MusicXML"),
        (b"title: Boat\n| C |", "not MusicXML"),
        (HEAD + b"<html><body/></html>", "begins with <html>"),
        (HEAD + b"<score-partwise></score-partwise>", "no bar"),
        (SONG[:-40], "damaged in line 1"),
        (SONG.replace(b"<note>", b"<note", 1), "damaged in line 1"),
        (SONG.replace(b"Paper", b"\xff\xfe"), "damaged in line 1"),
        (SONG.replace(b"UTF-8", b"UTF-99"), "unknown encoding|not MusicXML"),
        pytest.param(packed(SONG)[:-30], "damaged", id="an archive without its end"),
        pytest.param(packed(SONG)[:60], "damaged", id="an archive's beginning"),
        pytest.param(
            packed(SONG, name="picture.png", container=False), "no MusicXML score", id="a picture"
        ),
    ],
)
def test_what_is_no_score_is_told(raw, said):
    assert any(one in refusal(raw) for one in said.split("|"))


@pytest.mark.parametrize("reference", ["&e9;", "&e0;", ""])
def test_entities_are_refused_before_they_multiply(reference):
    bomb = f"<!DOCTYPE score-partwise [{ENTITIES}]><score-partwise>{reference}</score-partwise>"
    assert "entities of its own" in refusal(HEAD + bomb.encode())
    outside = '<!DOCTYPE score-partwise [<!ENTITY e SYSTEM "file:///etc/passwd">]>'
    text = SONG.decode().replace("<score-partwise", outside + "<score-partwise", 1)
    assert "entities of its own" in refusal(text.replace("Paper", "&e;").encode())


def test_an_archive_that_grows_is_refused_before_it_is_unpacked():
    bomb = packed(b"<score-partwise>" + b" " * (MOST_BYTES * 4) + b"</score-partwise>")
    assert len(bomb) < 200_000
    tracemalloc.start()
    said = refusal(bomb)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert "80 MB unpacked" in said
    assert most < 2_000_000


def test_a_directory_that_lies_about_the_size_is_not_believed():
    raw = bytearray(packed(b"<score-partwise>" + b" " * (MOST_BYTES * 4), container=False))
    # The uncompressed size in the central directory: 24 bytes behind its signature.
    place = raw.rindex(b"PK\x01\x02") + 24
    raw[place : place + 4] = (1000).to_bytes(4, "little")
    tracemalloc.start()
    refusal(bytes(raw))
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 3 * MOST_BYTES


def test_an_archive_of_many_files_is_no_score():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for number in range(501):
            archive.writestr(f"{number}.xml", "")
    assert "501 files" in refusal(stream.getvalue())


def test_a_locked_archive_is_told():
    raw = bytearray(packed(SONG, container=False))
    for sign, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        raw[raw.index(sign) + at] |= 1
    assert "locked" in refusal(bytes(raw))


def test_every_truncation_of_an_archive_is_a_sentence():
    raw = packed(SONG)
    for length in range(2, len(raw), 7):
        refusal(raw[:length])


@pytest.mark.parametrize(
    ("measures", "said"),
    [
        (["<x>" * 70 + "</x>" * 70], "nested or filled"),
        ([note() * 12_001], "more than 12,000 notes"),
        ([chord("C") * 3_001], "more than 3,000 chord symbols"),
        ([""] * 2_001, "more than 2,000 bars"),
    ],
)
def test_what_is_beyond_measure_is_refused(measures, said):
    assert said in refusal(sheet([attributes(), *measures]))


SHEET = score(chord("C") + note(), note()).decode()


@pytest.mark.parametrize("times", ["1-999999999", "9" * 40, "1-" * 5000, "1," * 50_000])
def test_an_ending_for_countless_times_is_refused(times: str) -> None:
    bars = chord("C") + note(), repeat("", ending=times, stop=False) + note()
    assert "for an ending, which makes no sense" in refusal(score(*bars))
    bracket = '<barline><ending number="1" type="start">999999999.</ending></barline></measure>'
    assert "for an ending" in refusal(SHEET.replace("</measure>", bracket, 1).encode())


@pytest.mark.parametrize("beats", ["1+" * 100_000 + "1", "64+64", "9,1-9"])
def test_beats_beyond_measure_are_refused(beats: str) -> None:
    said = refusal(SHEET.replace("<beats>4<", f"<beats>{beats}<").encode())
    assert "for beats, which makes no sense" in said
    assert len(said) < 100


@pytest.mark.parametrize("tempo", ["-60", "0", "0.0001", "1e9"])
@pytest.mark.parametrize(
    "mark",
    [
        '<sound tempo="{}"/>',
        "<direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>{}</per-minute>"
        "</metronome></direction-type>",
    ],
)
def test_a_tempo_that_nobody_plays_is_refused(mark: str, tempo: str) -> None:
    said = f"</attributes><direction>{mark.format(tempo)}</direction>"
    assert f"This score says {tempo} for a tempo" in refusal(
        SHEET.replace("</attributes>", said, 1).encode()
    )


def test_what_cannot_be_reckoned_with_is_told_in_our_own_words() -> None:
    odd = re.sub("<beat-type>[^<]*<", "<beat-type>0<", SHEET)
    with pytest.raises(ScoreError, match="read: what it says makes no sense"):
        import_score(odd.encode(), name="x")


@pytest.mark.parametrize("order", ["utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("declared", [' encoding="UTF-16"', " encoding='utf-16'", ""])
def test_a_score_in_utf_16_is_read(order: str, declared: str) -> None:
    head, _, body = SHEET.partition("?>")
    text = re.sub(r" encoding=\S*", "", head) + declared + "?>" + body
    read = import_score(("\ufeff" + text).encode(order), name="x")
    assert read == import_score(SHEET.encode(), name="x")
    assert "damaged" in refusal(("\ufeff" + text).encode(order)[:-1])


def test_a_repeat_of_thousands_of_bars_is_refused_at_once():
    bars = [
        chord("C") + note(),
        note() + '<barline><repeat direction="backward" times="5000"/></barline>',
    ]
    with pytest.raises(ScoreError, match="more than 1,000 bars"):
        import_score(score(*bars), name="x")


def test_nothing_else_is_raised_over_damage():
    for place in range(40, len(SONG), 17):
        for other in (b"<", b"9", b"\x00"):
            with suppress(ScoreError):
                import_score(SONG[:place] + other + SONG[place + 1 :], name="x")


ODD = ("", "x", "-1", "999999999", "4.5")
RICH = piano(
    (rehearsal("A") + chord("C") + note(words="1:la"), note("C3")),
    (repeat("forward") + note("E5", 2) + note("F#5", 2), note("rest")),
    (note() + repeat("backward", times=3, ending="1"), note("G2")),
).decode()


@pytest.mark.parametrize("value", ODD)
def test_a_value_that_makes_no_sense_is_read_or_refused(value):
    for found in re.finditer(r"(?<=>)[^<>]+(?=<)|(?<==\")[^\"]*(?=\")", RICH):
        odd = RICH[: found.start()] + value + RICH[found.end() :]
        with suppress(ScoreError):
            import_score(odd.encode(), name="x")
