"""Examples in docstrings give what they say."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
from collections.abc import Iterator

import pytest

import cli
import sync


def module_names() -> Iterator[str]:
    for package in (sync, cli):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            yield module.name


@pytest.mark.parametrize("name", list(module_names()))
def test_examples(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0
