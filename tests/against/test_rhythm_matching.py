"""Onset matching against mir_eval (MIT licence; Raffel et al. 2014, ISMIR).

`mir_eval.util.match_events` is a maximum matching within a window, `onset.f_measure`
and `transcription.match_notes` are built on it. Ours must find as many pairs.
"""

from types import ModuleType

import numpy as np
import pytest

from evaluator.judge.matching import match

WINDOW = 0.05


def bars(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Onsets due in eight bars of eighths at 96, and a student's: jittered, missed, added."""
    rng = np.random.default_rng(seed)
    due = np.arange(64) * 60 / 96 / 2
    due = np.sort(rng.choice(due, 40, replace=False))
    kept = due[rng.random(len(due)) > 0.1]
    played = kept + rng.normal(0, 0.03, len(kept))
    added = rng.uniform(0, due[-1], 6)
    return due, np.sort(np.concatenate([played, added]).clip(0))


@pytest.mark.parametrize("seed", range(20))
def test_as_many_pairs_as_a_maximum_matching(mir_eval: ModuleType, seed: int) -> None:
    due, played = bars(seed)
    pairs = match(due.tolist(), played.tolist(), [WINDOW] * len(due))
    theirs = mir_eval.util.match_events(due, played, WINDOW)
    assert sum(pair is not None for pair in pairs) == len(theirs)


@pytest.mark.parametrize("seed", range(20))
def test_the_same_hits_as_the_onset_measure(mir_eval: ModuleType, seed: int) -> None:
    due, played = bars(seed)
    pairs = match(due.tolist(), played.tolist(), [WINDOW] * len(due))
    hits = sum(pair is not None for pair in pairs)
    _, precision, recall = mir_eval.onset.f_measure(due, played, window=WINDOW)
    assert hits / len(played) == pytest.approx(precision)
    assert hits / len(due) == pytest.approx(recall)


@pytest.mark.parametrize("seed", range(5))
def test_the_same_pairs_as_note_matching_where_there_is_one_way(
    mir_eval: ModuleType, seed: int
) -> None:
    due, _ = bars(seed)
    played = due + np.random.default_rng(seed).uniform(-0.04, 0.04, len(due))
    pitches = np.full(len(due), 261.6)
    theirs = mir_eval.transcription.match_notes(
        np.stack([due, due + 0.2], axis=1),
        pitches,
        np.stack([played, played + 0.2], axis=1),
        pitches,
        onset_tolerance=WINDOW,
        offset_ratio=None,
    )
    pairs = match(due.tolist(), played.tolist(), [WINDOW] * len(due))
    assert list(enumerate(pairs)) == sorted(theirs)
