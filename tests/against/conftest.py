"""A library that takes a second to load: only the worker that has its tests loads it."""

import warnings
from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def mir_eval() -> ModuleType:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        library: ModuleType = pytest.importorskip("mir_eval")
    return library
