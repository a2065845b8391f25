"""What a page shows, read out of the browser."""

from __future__ import annotations

import chess
from playwright.sync_api import Page

from tests.page.lessons import TREE, small_lesson

READ_BOARD = """() => [...document.querySelectorAll('.square')].map(square => {
  const piece = square.querySelector('.piece');
  if (!piece) return '-';
  const letter = piece.querySelector('use').getAttribute('href').slice(-1);
  return piece.classList.contains('white') ? letter.toUpperCase() : letter;
}).join('')"""


def shown(tab: Page) -> str:
    """The board's 64 squares from a8 to h1."""
    return str(tab.evaluate(READ_BOARD))


def squares(board: chess.Board) -> str:
    """The same of a python-chess board."""
    return str(board).replace(" ", "").replace("\n", "").replace(".", "-")


def after(ply: int | None) -> str:
    """The board after a ply of the small lesson."""
    parents = {number: (parent, uci) for number, parent, uci, _ in TREE}
    line = []
    while ply is not None:
        ply, uci = parents[ply]
        line.append(uci)
    board = chess.Board()
    for uci in reversed(line):
        board.push_uci(uci)
    return squares(board)


def seek(tab: Page, seconds: float) -> None:
    """Seeks the media element and waits until it got there."""
    tab.evaluate(
        """seconds => new Promise((done, fail) => {
          setTimeout(() => fail(new Error(`seeking to ${seconds} takes too long`)), 20000);
          const media = document.getElementById('media');
          media.addEventListener('seeked', () => requestAnimationFrame(() => setTimeout(done)), { once: true });
          media.currentTime = seconds;
        })""",
        seconds,
    )


def media_time(tab: Page) -> float:
    return float(tab.evaluate("document.getElementById('media').currentTime"))


def paused(tab: Page) -> bool:
    return bool(tab.evaluate("document.getElementById('media').paused"))


def until(tab: Page, condition: str) -> None:
    """Waits for a condition of the page's; Playwright's own waiting is stopped by the page's security policy."""
    tab.evaluate(
        f"""() => new Promise((done, fail) => {{
          setTimeout(() => fail(new Error('waited too long')), 20000);
          const look = () => ({condition}) ? done() : setTimeout(look, 20);
          look();
        }})"""
    )


def settle(tab: Page) -> None:
    """Waits until the recording can be sought."""
    until(tab, "document.getElementById('media').readyState >= 1")


def onset(ply: int, time: int = 0) -> float:
    """When a ply of the small lesson is named for the first (0), second (1) time."""
    plies = small_lesson()[0].games[0].plies
    return next(each for each in plies if each.id == ply).moments[time].start
