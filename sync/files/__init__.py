"""The files that are written from a lesson, and the games that are read from PGN."""

from sync.files.captions import captions_srt, captions_vtt
from sync.files.chapters import chapter_list, chapters_vtt
from sync.files.game_input import read_game
from sync.files.pgn import pgn_text

__all__ = ["captions_srt", "captions_vtt", "chapter_list", "chapters_vtt", "pgn_text", "read_game"]
