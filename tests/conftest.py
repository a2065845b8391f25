"""What all tests share."""

from __future__ import annotations

import os
from collections.abc import Generator, Iterator

import pytest
from hypothesis import settings
from playwright.sync_api import Browser, sync_playwright

from tests.browser import CHROMIUM, SWITCHES

# A busy machine is no fault of a law, and the same code always passes or always fails;
# `--hypothesis-profile default` draws new cases.
settings.register_profile("plycue", deadline=None, derandomize=True)
settings.load_profile("plycue")

# As cli/main.py does it, before numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

ALL = "PLYCUE_TEST_ALL"
"""With this set, a test that would be skipped fails: on a machine that is meant to have everything."""


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    if ALL in os.environ and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped, but {ALL} is set: {report.longrepr}"
    return report


@pytest.fixture(scope="session", autouse=True)
def cache_of_the_tests(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Nothing is read from or left in the cache of the person who runs the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PLYCUE_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One for all tests: a second one in the same process would not start."""
    if CHROMIUM is None:
        pytest.skip("no Chromium on this machine")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
        yield browser
        browser.close()
