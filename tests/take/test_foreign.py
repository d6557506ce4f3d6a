"""Other files are known by how they begin (the formats' own specifications)."""

import pytest

from evaluator.take.foreign import foreign_kind, text_kind


@pytest.mark.parametrize(
    ("raw", "kind"),
    [
        (b"\xff\xd8\xff\xe1", "a JPEG picture"),  # ITU-T T.81: SOI and a marker
        (b"\x89PNG\r\n\x1a\n", "a PNG picture"),  # W3C PNG, section 5.2
        (b"%PDF-1.4", "a PDF document"),  # ISO 32000, 7.5.2
        (b"RIFF\0\0\0\0WAVE", "a WAV sound recording"),  # RIFF, IBM and Microsoft 1991
        (b"\xff\xfb\x90\x44", "an MP3 sound recording"),  # ISO 11172-3 frame sync, layer III
        (b"\0\0\0\x18ftypheic", "a HEIC picture"),  # ISO 14496-12 file type box
        (b"\0\0\0\x18ftypisom", "an MP4 or QuickTime recording"),
        (b"SMF2CLIP", "a MIDI 2.0 clip"),  # MIDI Clip File specification
    ],
)
def test_a_known_beginning_is_named(raw: bytes, kind: str) -> None:
    assert foreign_kind(raw) == kind


@pytest.mark.parametrize("raw", [b"MThd\0\0\0\6", b"RIFF\0\0\0\0RMIDdata", b"", b"\0"])
def test_midi_files_and_scraps_have_no_other_name(raw: bytes) -> None:
    assert foreign_kind(raw) is None


@pytest.mark.parametrize(
    ("raw", "kind"),
    [
        (b"| D | A |\r\n", "a text file"),
        ("Übung für Anfänger".encode(), "a text file"),
        (("é" * 5000).encode(), "a text file"),
        (b"\xef\xbb\xbftitle", "a text file"),
        (b"<?xml version='1.0'?><score-partwise>", "a MusicXML score"),
        (b"<html><body>", "a web page"),
        (b"abc\0def", None),
        (b"\x90\xff\xfe\x81\x80", None),
        (b"", None),
    ],
)
def test_text_is_told_from_binary(raw: bytes, kind: str | None) -> None:
    assert text_kind(raw) == kind
